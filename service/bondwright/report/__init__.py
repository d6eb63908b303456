"""Pages made of an evaluation, for people to read.

Pure: an evaluation in, text out. May be imported by assembly and above; imports evaluate and below. Decides nothing and leaves
no caution out.
"""
