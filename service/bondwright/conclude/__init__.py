"""From a row of facts to what the rules of one pack conclude of it: levels, sizes, reasons, and which open facts could move them.

Knows no part, bond or room, and nothing of a description: rows come in, conclusions go out. The engine and the memory are arguments.
"""
