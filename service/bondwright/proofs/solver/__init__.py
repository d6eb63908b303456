"""The pack as the solver (z3) sees it, and what is proved of it. An answer that does not come in time is an error.

May be imported by proofs only; imports evaluate and below, and from proofs the findings, the examples and the cells.
"""
