"""Drafts: the files that people edit, put together as a pack. The changes of amendments are in `shelf.amendments`."""
