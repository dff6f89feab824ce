"""Settings that all tests share."""

import gc

import pytest
from hypothesis import settings
from let_go import let_benches_go

# The same examples every time: what passes here passes on the next machine, and a failure comes back until it
# is mended. No time limit for one example: a slow laptop is no error.
settings.register_profile("castlab", derandomize=True, deadline=None)
settings.load_profile("castlab")


def pytest_collection_finish():
    """What is imported by now stays, and need not be looked through after each module."""
    gc.freeze()


@pytest.fixture(scope="module", autouse=True)
def nothing_computed_outlives_its_module(request):
    yield
    for each in vars(request.module).values():
        if getattr(each, "__module__", "").startswith("test_") and hasattr(each, "cache_clear"):
            each.cache_clear()
    let_benches_go()
