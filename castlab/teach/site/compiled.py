"""Wheels made smaller and quicker to start: without what no page of the course uses, and compiled beforehand.

A browser's Python compiles every module that it imports, each time that the site is opened: half of the time
to the first picture. Where a Python of the same version is found here, it does that once, when the site is
written; else the modules stay as they are.
"""

import shutil
import subprocess
import sys
import tempfile
import zipfile
from fnmatch import fnmatch
from pathlib import Path

from castlab.teach.site.distribution import STDLIB, sha256
from castlab.teach.site.wheels import ALWAYS

# What may leave, by package: nothing that castlab imports, straight or through others, asks for it. A library
# is loaded at each start, imported or not. The kernel asks for jedi and ssl by name, and goes without what is
# in them: Tab in a cell then completes from what is there, and nothing is fetched from within Python.
LEFT_OUT = {
    "numpy": ("*.pyi", "*.pxd", "*.h", "*.a", "*/lapack_lite.*.so"),
    "scipy": ("*.pyi", "*.pxd", "scipy/signal/*", "scipy/cluster/*", "scipy/odr/*", "scipy/io/*",
              "scipy/misc/*", "scipy/datasets/*", "scipy/fftpack/*", "scipy/stats/*",
              "scipy/interpolate/*", "scipy/integrate/*", "*/_test_*.so", "*/_c*test.*.so",
              "*/cython_special.*.so"),
    "matplotlib": ("*.pyi", "*/mpl-data/sample_data/*", "*/mpl-data/images/*", "*/mpl-data/fonts/afm/*",
                   "*/mpl-data/fonts/pdfcorefonts/*", "*/_qhull.*.so", "*/_tri.*.so", "*/_ttconv.*.so"),
    "pillow": ("*/_webp.*.so",),
    "ipywidgets": ("*/tests/*",),
    "jedi": ("jedi/*",),
    "ssl": ("ssl.py", "_ssl.so"),
}
# matplotlib 3.8 asks for fonttools to write PDF, and for pytz never; parso and OpenSSL are for jedi and ssl.
NOT_NEEDED = ("fonttools", "pytz", "parso", "openssl")
# Compiled, a module is larger: so those are not that no first picture imports.
AS_THEY_ARE = {
    "pygments": ("pygments/lexers/*", "pygments/styles/*", "pygments/formatters/*"),
}


def python_for(info):
    """The path of a Python here that compiles for the distribution of that `info`; None for none."""
    version = ".".join(info.get("python", "").split(".")[:2])
    for each in (sys.executable, shutil.which(f"python{version}")):
        if version and each and _version_of(each) == version:
            return each
    return None


def _version_of(python):
    """Such as "3.12"; "" of a program that only calls itself so."""
    asked = [python, "-c", "import sys; print('%d.%d' % sys.version_info[:2])"]
    return subprocess.run(asked, capture_output=True, text=True, check=False).stdout.strip()


def make_light(folder, packages, python=None):
    """Rewrite the wheels of `packages` in a folder, and Python's own library there.

    packages   {name: its entry in the list}
    python     of the same version as the kernel; None: nothing is compiled

    Returns the entries as they are then.
    """
    found = {}
    for name, entry in packages.items():
        wheel = Path(folder) / entry["file_name"]
        if wheel.suffix == ".whl":
            rewrite(wheel, python, LEFT_OUT.get(name, ()), AS_THEY_ARE.get(name, ()))
            entry = entry | {"sha256": sha256(wheel)}
        found[name] = entry
    if python:
        rewrite(Path(folder) / STDLIB, python)
    return found


def without(packages):
    """The `packages` without those that are not needed, also in what the others ask for."""
    return {name: entry | {"depends": [each for each in entry["depends"] if each not in NOT_NEEDED]}
            for name, entry in packages.items() if name not in NOT_NEEDED}


def rewrite(archive, python=None, left_out=(), as_they_are=()):
    """Leave files out of an archive, and put compiled modules in the place of its others.

    left_out      patterns of names in the archive: of files that go
    as_they_are   of modules that are not compiled
    """
    with tempfile.TemporaryDirectory() as work:
        with zipfile.ZipFile(archive) as before:
            names = [name for name in before.namelist()
                     if not name.endswith("/") and not _is_one_of(name, left_out)]
            before.extractall(work, names)
        if python:
            _compile(python, work)
        with zipfile.ZipFile(archive, "w") as after:
            for name in sorted(names):
                if (Path(work) / f"{name}c").exists() and not _is_one_of(name, as_they_are):
                    name = f"{name}c"
                data = (Path(work) / name).read_bytes()
                after.writestr(zipfile.ZipInfo(name, ALWAYS), data, zipfile.ZIP_DEFLATED, 9)


def _is_one_of(name, patterns):
    return any(fnmatch(name, each) for each in patterns)


def _compile(python, folder):
    """Each module beside its source. What is not for this Python, such as a template, stays as it is."""
    ways = ["-q", "-q", "-b", "--invalidation-mode", "unchecked-hash", "-s", folder]
    subprocess.run([python, "-W", "ignore", "-m", "compileall", *ways, folder], check=False)
