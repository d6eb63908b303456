"""What packs declare of the things that they judge, beyond their tables: their places.

May be imported by whatever may import rulebook; imports rulebook.facts.
"""
