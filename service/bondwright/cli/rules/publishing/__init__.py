"""Checking rules and publishing them: what a pack must pass, and how it is written. May be imported by `cli.rules` only."""
