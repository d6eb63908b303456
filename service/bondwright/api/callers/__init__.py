"""Who asks, for what, how often, whether it was asked before, and by a query only where there is one to ask by.

May be imported by the rest of api; imports assembly and below.
"""
