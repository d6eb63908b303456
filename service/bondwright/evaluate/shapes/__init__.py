"""Shapes of an answer that hold no verdict."""
