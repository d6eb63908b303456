"""From facts to explained verdicts, for any kind of subject: stages, ladders, questions, reasons.

Knows no part, bond or room; the modules beside this folder know those.
"""
