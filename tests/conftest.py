"""Settings that all tests share."""

import pytest
from hypothesis import settings
from let_go import let_benches_go

# The same examples every time: what passes here passes on the next machine, and a failure comes back until it
# is mended. No time limit for one example: a slow laptop is no error.
settings.register_profile("castlab", derandomize=True, deadline=None)
settings.load_profile("castlab")


@pytest.fixture(scope="module", autouse=True)
def no_bench_outlives_its_module():
    yield
    let_benches_go()
