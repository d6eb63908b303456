"""The answer as bytes, in the form of today: each reason, question, verdict, size and sentence once, and numbers that point to them.

`members`: what the shapes of `compose.answer` hold; `shapes`: what stands in the tables; `tables`: those filled; `writing`: all of it
as bytes; `opening`: everything back in its place; `codes`: those that follow from what stands beside them.
"""
