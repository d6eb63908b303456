"""Earthings besides that of the supply: `described`: what is said of each; `places`: which one a location is on, and what follows;
`rows`: what rules judge of each.

May be imported by facts.rooms and evaluate; imports installation, metalwork, rulebook, calculators and other modules of facts.
"""
