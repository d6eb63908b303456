"""Sizes and resistances of conductors, pipes and bonds."""
