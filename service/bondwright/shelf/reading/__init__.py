"""Strict YAML to typed rule-book values, one module a subject; every refusal has its `file:line:column`.

May be imported by the shelf only; imports rulebook, errors and units.
"""
