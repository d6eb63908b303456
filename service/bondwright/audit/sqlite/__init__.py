"""The store of records in one SQLite file: the file and what is demanded of it, the tables records are found by, the store.

May be imported by assembly and above; imports only the rest of audit and errors.
"""
