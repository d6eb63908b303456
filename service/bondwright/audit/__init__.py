"""The record: every evaluation kept, append-only, durable before its answer leaves.

What belongs here: what a record is, the store's contract, one module per database behind it.
May be imported by assembly and above; imports only errors. Database drivers are imported nowhere else.
"""
