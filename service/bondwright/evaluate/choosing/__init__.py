"""Which rule pack judges: what an answer says of it."""
