"""Rule files: from text on disk to rule packs, with the place of everything that is wrong.

The page `rules/FORMAT.md` is the contract. `reading` gives the YAML subset its types; `packs` reads whole packs and puts editable
files together; `amendments` follows a chain of editions and makes its `changes` on `lines`. The only folder that imports `yaml`.
May import rulebook and below; may be imported by assembly, api and cli.
"""
