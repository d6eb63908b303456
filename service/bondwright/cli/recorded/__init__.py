"""The commands that work on what is recorded: replay, compare, export and import.

May be imported by the command line; imports assembly and below.
"""
