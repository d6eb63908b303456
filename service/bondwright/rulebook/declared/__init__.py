"""What packs declare beyond their tables: of the things that they judge their places, and what to do.

May be imported by whatever may import rulebook; imports rulebook.facts.
"""
