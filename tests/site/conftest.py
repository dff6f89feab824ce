"""The site that the variable CASTLAB_SITE names, and one browser. In CI what lacks fails; else it skips."""

import importlib.util
import os
from pathlib import Path

import pytest
import site_lab


@pytest.fixture(scope="session")
def address():
    folder = os.environ.get("CASTLAB_SITE")
    there = {"a site, named by CASTLAB_SITE": folder and (Path(folder) / "lab").is_dir(),
             "playwright (tests/browser/requirements.txt)": importlib.util.find_spec("playwright"),
             "the browser chromium": site_lab.lab.chromium_path()}
    missing = [name for name, found in there.items() if not found]
    if missing:
        stop = pytest.fail if os.environ.get("CI") else pytest.skip
        stop("not there: " + ", ".join(missing))
    with site_lab.serving(folder) as running:
        yield running


@pytest.fixture(scope="session")
def browser(address):
    with site_lab.lab.running_browser() as running:
        yield running


@pytest.fixture
def opened(browser, address):
    """A function that opens a notebook of the site; all are closed when the test ends."""
    notebooks = []

    def open_notebook(path):
        notebooks.append(site_lab.SiteNotebook(browser, address, path))
        return notebooks[-1]

    yield open_notebook
    for notebook in notebooks:
        notebook.close()
