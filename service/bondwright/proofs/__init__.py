"""What a rule pack is proved of before it is published: by a solver, by search on a reduced form, by its own examples.

`check` is the way in. The solver (z3) comes with the extra `rules` and is used here alone; nothing that serves answers
imports this folder. Nothing here knows a standard: a pack is all that is read.
May import evaluate and below; may be imported by cli.
"""
