"""The rows of locations in which supplementary bonding is in question: the second pass, for they need what was concluded of parts.

`building`: what they need of the rest; `touched`: the metal that can be touched there; `metal_paths`: which metal leads to bonded metal;
`connecting`: is each part shown to be connected; `circuits`: what their circuits come to; `asking`: what is open of them; `rows`: the
row of each; `judging`: each judged as it is and with the plan made; `omission`: the one act that would free from it.
"""
