"""Arithmetic of bonding: pure functions of numbers, every constant an argument.

May be imported by metalwork, evaluate and above; imports only errors. Thresholds, tables and material values stand in
the rule packs and are handed in by the caller. Inputs and results are plain floats; where an input may be known only
between bounds, a function ending in `_between` takes and gives (lowest, highest) pairs.
"""
