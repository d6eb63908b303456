"""The steps by which a database of records came to be laid out as it is: plain SQL for each kind of database, run by Alembic.

May be imported by the rest of audit; SQLAlchemy and Alembic are imported nowhere else. A step that was released never changes.
"""
