"""The words of packs: sentences by code, one file a language, beside the pack that says them.

`texts`: where they stand in a pack; `sentences`: those that code fills; `language`: a file of them; `joined`: a pack with its words as
one text; `splitting`: of a draft; `filling`: into the nodes of a pack before anything else reads them.
"""
