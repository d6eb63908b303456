"""From a survey to rows of facts, one for each subject that rules judge: part, bond, reading, supply, room; the unknown is a value.

Knows no verdict's words. Rows that rest on the description alone come first; those that need what was concluded of others (bonds need
parts, rooms need parts and bonds) are a second pass, with those conclusions as arguments. Beside each fact stands what is asked of the
description to settle it.
"""
