"""Worked cases: read strictly, every expectation compared with what an answer tells, and what changed in them since a pack was published.

Touches no file: the bytes of a case come in, what was found goes out. May be imported by `assembly` and above.
"""
