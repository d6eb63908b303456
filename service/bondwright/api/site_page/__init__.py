"""Recorded evaluations as plain text, to be read by people. May be imported by the application; imports what other routes do."""
