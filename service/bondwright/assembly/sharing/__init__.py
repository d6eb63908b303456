"""One service for many callers: what each request costs, whose turn it is, and where it is worked out.

May be imported by the rest of assembly and by api; imports settings, what the rest of assembly judges with, and below.
"""
