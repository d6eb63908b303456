"""A page for every kind of problem, to which its `type` refers. May be imported by api; imports `api.problems` and FastAPI."""
