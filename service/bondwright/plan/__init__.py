"""From what was concluded of parts and bonds to what is to be done: one act for each part, and which connections serve which parts.

`bond_states`: what the bonds that are there come to; `acts`: the joined table of the pack, and the plan over the graph. Rows of rooms and
findings rest on it. Words come later.
"""
