"""The site: JupyterLab as static files, the kernel with its packages, the course, and how they are set."""

import json
import shutil
import subprocess
import sys
import tempfile
from dataclasses import replace
from importlib import metadata
from pathlib import Path

from castlab.teach.site.compiled import make_light, python_for, without
from castlab.teach.site.distribution import FOR_THE_KERNEL, LOCK
from castlab.teach.site.wheels import entry_of, write_wheels

NOTEBOOKS = Path(__file__).resolve().parents[3] / "notebooks"
FOLDERS = ("lessons", "answers", "instructor")
FIRST = "lab/index.html?path=lessons/00_start_here.ipynb"
KERNEL = "@jupyterlite/pyodide-kernel-extension"
OF_THE_KERNEL = ("ipykernel", "piplite", "pyodide-kernel")  # wheels that it brings with it
LOADED_AT_ONCE = ("ipykernel", "comm", "piplite", "pyodide_kernel", "castlab", *FOR_THE_KERNEL)
NOT_CONTENTS = (".ipynb_checkpoints", "my_course*", "my_shop*", ".my_*")
IN_THE_BROWSER = Path(__file__).with_name("IN_THE_BROWSER.md")
FIRST_PAGE = Path(__file__).with_name("first_page.html")
SLOWER = ("No Python {} is found here to compile for the browser: each start of the kernel will take longer, "
          "by a third or more.")
# A browser that keeps nothing has memory in its place: else no lesson would open at all.
STORES = ("contentsStorageDrivers", "settingsStorageDrivers", "workspacesStorageDrivers")
STORED_IN = ("asyncStorage", "localStorageWrapper", "memoryStorageDriver")
# All cells stand on the page, in view or not, so that keys and links reach them.
SETTINGS = {"@jupyterlab/notebook-extension:tracker": {"windowingMode": "none"}}
# JupyterLab's program for static sites takes keys before the slider on which they are pressed, and moves
# from cell to cell; its program for servers lets the slider go first. So they are not for outputs here.
KEYS, NOT_IN_OUTPUTS = ' :focus"', ' :focus:not(.jp-OutputArea *)"'


def write_site(out, distribution, packages_from=None, folders=FOLDERS):
    """Write the site into a new folder.

    out             the folder; it must not be there yet, or be empty
    distribution    a Distribution, whose core is copied into the site
    packages_from   an address from which browsers load numpy and the like, in place of copies in the site
    folders         which of FOLDERS are on it

    Raises InputError for a distribution that is not whole, and OSError where nothing can be written.
    """
    with tempfile.TemporaryDirectory() as work:
        lite, kernel = Path(work), Path(work) / "static" / "pyodide"
        kernel.mkdir(parents=True)
        if packages_from is None:
            distribution = replace(distribution, packages=without(distribution.packages))
        for path in distribution.files(with_packages=packages_from is None):
            shutil.copyfile(path, kernel / path.name)
        own = write_wheels(kernel) | kernels_own(kernel)
        packages = in_site(kernel, distribution, own) if packages_from is None else (
            at_address(distribution, packages_from) | own)
        write_json(kernel / LOCK, {"info": distribution.info, "packages": packages})
        write_json(lite / "jupyter-lite.json", {
            "jupyter-lite-schema-version": 0,
            "jupyter-config-data": {
                "appName": "castlab", "exposeAppInBrowser": True,
                "enableMemoryStorage": True, **dict.fromkeys(STORES, STORED_IN),
                "litePluginSettings": {f"{KERNEL}:kernel": kernel_settings()}}})
        write_json(lite / "overrides.json", SETTINGS)
        contents = lite / "contents"
        for name in folders:
            shutil.copytree(NOTEBOOKS / name, contents / name, ignore=shutil.ignore_patterns(*NOT_CONTENTS))
        shutil.copy(IN_THE_BROWSER, contents)
        made = lite / "made"
        build = ["build", "--lite-dir", lite, "--output-dir", made, "--contents", contents, "--apps", "lab",
                 "--no-sourcemaps", "--no-unused-shared-packages"]
        subprocess.run([sys.executable, "-W", "ignore", "-m", "jupyterlite_core", *build], cwd=lite,
                       check=True, stdout=subprocess.DEVNULL)
        let_keys_reach_sliders(made)
        (made / "index.html").write_text(first_page(), encoding="utf-8")
        shutil.copytree(made, out, dirs_exist_ok=True)


def in_site(folder, distribution, own):
    """The list's entries of all packages, which lie in a folder and are made light there."""
    python = python_for(distribution.info)
    if python is None:
        print(SLOWER.format(distribution.info.get("python")), file=sys.stderr)
    return make_light(folder, distribution.packages | own, python)


def at_address(distribution, packages_from):
    """The list's entries of the distribution's packages: at an address, as they are there."""
    return {name: entry | {"file_name": packages_from + entry["file_name"]}
            for name, entry in distribution.packages.items()}


def kernels_own(folder):
    """Copy the wheels that JupyterLite's kernel brings; returns their entries of the list."""
    entries = {}
    for file in metadata.distribution("jupyterlite-pyodide-kernel").files:
        name, _, rest = file.name.replace("_", "-").partition("-py3-")[0].rpartition("-")
        if file.suffix == ".whl" and name in OF_THE_KERNEL:
            path = Path(shutil.copy(file.locate(), folder))
            entries[name] = entry_of(name, rest, path, [name.replace("-", "_")])
    return entries


def kernel_settings():
    """What the kernel is told: where it is, what to load before the first cell, and to ask nobody else."""
    return {"pyodideUrl": "./static/pyodide/pyodide.js", "disablePyPIFallback": True,
            "loadPyodideOptions": {"packages": list(LOADED_AT_ONCE), "env": {"LOGNAME": "student"}}}


def let_keys_reach_sliders(site):
    """Keep the notebook's own keys out of what cells have put out."""
    for name in ("all.json", "@jupyterlab/notebook-extension/tracker.json"):
        path = site / "build" / "schemas" / name
        text = path.read_text(encoding="utf-8")
        if KEYS not in text:
            raise RuntimeError(f"{path} has no keys of the notebook: JupyterLite has changed")
        path.write_text(text.replace(KEYS, NOT_IN_OUTPUTS), encoding="utf-8")


def first_page():
    """The page at the site's own address: it says what the browser cannot do, and leads on to the course."""
    return FIRST_PAGE.read_text(encoding="utf-8").replace("FIRST_LESSON", FIRST)


def write_json(path, thing):
    """Write a thing as JSON."""
    path.write_text(json.dumps(thing, indent=1), encoding="utf-8")
