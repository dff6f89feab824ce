"""Settings that all tests share."""

from hypothesis import settings

# The same examples every time: what passes here passes on the next machine, and a failure comes back until it
# is mended. No time limit for one example: a slow laptop is no error.
settings.register_profile("castlab", derandomize=True, deadline=None)
settings.load_profile("castlab")
