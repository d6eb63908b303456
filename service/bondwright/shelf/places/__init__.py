"""How a pack declares its places: how their facts are worked out, their duties, the acts that these come to, and which rules reach them.

May be imported by shelf; imports shelf.reading, rulebook, installation and errors.
"""
