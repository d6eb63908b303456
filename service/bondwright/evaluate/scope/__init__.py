"""What a rule pack has no rules for: which things of a description that are, and what is answered of them.

`deciding`: which they are; `answers`: nothing of them is cleared, nothing ordered.
"""
