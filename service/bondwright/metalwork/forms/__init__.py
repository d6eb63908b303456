"""From what a description tells of a service or an item to lengths, their links and contacts, written onto the notes of the survey.

`short`, `detailed`, `items`: one form of description each; `making`: the one place where a length is made, for all three; `origins`: what
the length that enters brings in; `tables`: what the survey reads from a pack.
"""
