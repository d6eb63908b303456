"""Leads one description through the rooms (survey, facts, conclusions, answer) in an order that can be read; says which editions may judge.

Pure: takes values, returns values. Imports every room; no room imports it.
"""
