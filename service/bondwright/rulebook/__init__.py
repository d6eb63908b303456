"""What a rule pack is and what it means: facts, conditions, tables, rules, ladders.

Pure values. `shelf` builds them from files, `engine` compiles them, `evaluate` uses them.
May be imported by metalwork, evaluate and above; imports only errors and units.
"""
