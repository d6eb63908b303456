"""The command line: one module per command.

May be imported by nothing; imports api and below. Decides nothing: it reads arguments, calls `assembly`, prints, and gives an
exit status.
"""

from bondwright.cli.command_line import main, run

__all__ = ["main", "run"]
