"""The earth of an installation, as facts.

`coming`: how it comes, and whose it is; `calculated`: the earthing conductor that a calculation asks for.
"""
