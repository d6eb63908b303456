"""The store of records in a PostgreSQL database: the connection and what is demanded of it, batches, the store, its owner's acts.

May be imported by assembly and above; imports only the rest of audit and errors.
"""
