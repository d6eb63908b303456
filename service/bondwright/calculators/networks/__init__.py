"""Networks of conductors under fault: voltages and currents from Kirchhoff's laws, every figure an argument.

`linear` solves any network of resistances, admittances and ideal sources; the other modules build one from what an
electrician can describe. May be imported by metalwork, evaluate and above; imports only errors and the ranges of
`calculators`. What comes out is what the description gives, and no promise of safety.
"""
