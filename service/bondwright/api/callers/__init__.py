"""Who asks, for what, how often, and whether it was asked before.

May be imported by the rest of api; imports assembly and below.
"""
