"""Generated tests draw the same examples every time, so that a run can be repeated; exploring is asked for.

uv run pytest tests/properties --hypothesis-profile=explore
"""

from hypothesis import settings

settings.register_profile("same-every-time", derandomize=True, database=None)
settings.register_profile("explore", max_examples=1000)
settings.load_profile("same-every-time")
