"""The page that is read on site: first a structure, from which any form can be made, then its plain text.

`made` reads the evaluation, the description and the pack, and decides nothing. Other modules hold a section or a few each; `written`
makes text of all, and `why` tells everything behind one thing of the page.
"""
