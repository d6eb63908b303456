"""Metalwork: what is joined to what, and what a potential can reach in every possible world.

Says what is there; what it means is for the rules. Pure values in and out.
`forms` turns what is described into lengths; `survey` makes the graph of them; `worlds` says what a potential reaches, `plan` where
connections go. May be imported by facts and above; imports calculators, rulebook, installation and errors.
"""
