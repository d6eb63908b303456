"""Metalwork: what is joined to what, and what a potential can reach in every possible world.

Says what is there; what it means is for the rules. Pure values in and out.
May be imported by evaluate and above; imports calculators, rulebook, installation and errors.
"""
