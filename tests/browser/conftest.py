"""One JupyterLab and one browser for all browser tests. In CI a missing browser fails; elsewhere it skips."""

import importlib.util
import os

import lab
import pytest


def missing():
    """What is not installed, in words; empty when all is there."""
    parts = [] if importlib.util.find_spec("playwright") else ["playwright (tests/browser/requirements.txt)"]
    return parts + ([] if lab.chromium_path() else ["the browser chromium"])


@pytest.fixture(scope="session", autouse=True)
def everything_installed():
    if missing():
        stop = pytest.fail if os.environ.get("CI") else pytest.skip
        stop("not installed: " + ", ".join(missing()))


@pytest.fixture(scope="session")
def server(everything_installed, tmp_path_factory):
    with lab.running_lab(tmp_path_factory.mktemp("lab")) as running:
        yield running


@pytest.fixture(scope="session")
def browser(everything_installed):
    with lab.running_browser() as running:
        yield running


@pytest.fixture
def opened(server, browser):
    """A function that opens a notebook file in the browser; all are closed when the test ends."""
    notebooks = []

    def open_notebook(path):
        notebooks.append(lab.Notebook(browser, server, server.add(path)))
        return notebooks[-1]

    yield open_notebook
    for notebook in notebooks:
        notebook.close()
