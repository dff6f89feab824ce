"""Settings that all tests share."""

import gc

import ipywidgets
import pytest
from hypothesis import settings

# The same examples every time: what passes here passes on the next machine, and a failure comes back until it
# is mended. No time limit for one example: a slow laptop is no error.
settings.register_profile("castlab", derandomize=True, deadline=None)
settings.load_profile("castlab")


def let_benches_go():
    """The list of widgets keeps every bench, and a bench what it has computed: gigabytes, by the end."""
    ipywidgets.Widget.close_all()
    gc.collect()


@pytest.fixture(scope="module", autouse=True)
def no_bench_outlives_its_module():
    yield
    let_benches_go()
