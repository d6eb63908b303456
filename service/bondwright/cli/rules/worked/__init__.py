"""The commands about worked cases: whether they hold, and which mistakes in the rules they notice."""
