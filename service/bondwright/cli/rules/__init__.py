"""`bondwright rules`: what the people who answer for the rules do with them, a module a subject.

`commands` adds them all; `choosing` finds packs and editions by name, day and family, `printing` prints. May be imported by `cli` only.
"""

from bondwright.cli.rules.commands import add_rules

__all__ = ["add_rules"]
