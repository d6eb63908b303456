"""Locations in which supplementary bonding is in question: their facts, and what is answered of each.

`touching`: what can be touched there; `circuits`: what its circuits come to; `omission`: the one act that would free from it;
`answers`: the answer of each location.
"""
