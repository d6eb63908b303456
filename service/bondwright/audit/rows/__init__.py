"""What a row of a database holds, alike in every kind: a record both ways, and a large answer in fewer bytes.

May be imported by the rest of audit.
"""
