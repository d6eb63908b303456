"""What a pack must have because code reads it by name, and the forms of its clauses, ids and periods: declared in data, checked here.

May be imported by shelf, assembly and cli; imports shelf.reading, rulebook, installation, errors and units.
"""
