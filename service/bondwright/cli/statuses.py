"""Exit statuses, the same for every command."""

DONE = 0
"""The command did what it was asked."""
WANTING = 1
"""It ran, and found something wrong: with the rules, the record, or what it checked."""
WRONG_CALL = 2
"""It could not run: wrong arguments, or input that cannot be used."""
NOTHING = 3
"""There was nothing to examine: no record, or none of the tenant that was named."""
STOPPED = 128
"""A signal stopped it before it was done; the number of the signal is added."""
