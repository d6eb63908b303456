"""Locations in which supplementary bonding is in question: their facts, and what is answered of each.

`house`: what they need of the rest; `touched`: the metal that can be touched there; `metal_paths`: which metal leads to bonded metal;
`connecting`: is each part shown to be connected; `circuits`: what their circuits come to; `asking`: what is open of them; `touching`:
locations as subjects; `judging`: those that are judged; `omission`: the one act that would free from it; `answers`: their answers.
"""
