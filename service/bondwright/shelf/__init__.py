"""Rule files: from text on disk to rule packs, with the place of everything that is wrong.

The page `rules/FORMAT.md` is the contract. `nodes` reads the YAML subset, the `read_…` modules give its parts their
types, `packs` reads whole packs and puts editable files together. The only folder that imports `yaml`.
May import rulebook and below; may be imported by assembly, api and cli.
"""
