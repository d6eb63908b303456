"""One module a step, as Alembic wants it: what it runs on the way up and on the way down."""
