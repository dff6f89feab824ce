"""A distribution of Python for browsers (Pyodide): what of it the course needs, held against its own list.

Its file `pyodide-lock.json` names every package with what it depends on and a sha256. The site gets a list of
the same form that names only what is there; the browser holds each file against it once more.
"""

import hashlib
import json
import re
from dataclasses import dataclass
from pathlib import Path

from castlab.errors import InputError

LOCK = "pyodide-lock.json"
STDLIB = "python_stdlib.zip"
CORE = ("pyodide.js", "pyodide.asm.js", "pyodide.asm.wasm", STDLIB)
PAIRS_WITH = "0.27."  # the versions that the kernel in requirements.txt speaks with
OFFICIAL = "https://cdn.jsdelivr.net/pyodide/v{}/full/"
FOR_CASTLAB = ("numpy", "scipy", "matplotlib", "pillow")
FOR_THE_KERNEL = ("micropip", "ssl", "sqlite3", "jedi", "ipython")
PARAMETER = "the kernel's distribution"


@dataclass(frozen=True)
class Distribution:
    """What of a distribution the course needs.

    folder     where it is
    info       what it says of itself: version, platform
    packages   {name: its entry in the list}
    """

    folder: Path
    info: dict
    packages: dict

    @property
    def official(self):
        """The address at which its makers serve it."""
        return OFFICIAL.format(self.info["version"])

    def files(self, with_packages=True):
        """The files [paths] that a site serves itself: the core, and the packages where it serves those too.

        Raises InputError when one is missing, or is not what the list says.
        """
        for entry in self.packages.values() if with_packages else ():
            if sha256(self._there(entry["file_name"])) != entry["sha256"]:
                raise InputError(PARAMETER, entry["file_name"], f"its sha256 must be the one in {LOCK}")
        names = [entry["file_name"] for entry in self.packages.values()] if with_packages else []
        return [self._there(name) for name in (*CORE, *names)]

    def _there(self, name):
        path = self.folder / name
        if not path.is_file():
            raise InputError(PARAMETER, str(self.folder), f"it must hold the file {name}")
        return path


def distribution_in(folder):
    """The Distribution in a folder: an unpacked release of Pyodide.

    Raises InputError when there is none, when its version does not pair, or when it lacks a package.
    """
    path = Path(folder) / LOCK
    if not path.is_file():
        raise InputError(PARAMETER, str(folder), f"it must be the folder that holds {LOCK}")
    lock = json.loads(path.read_text(encoding="utf-8"))
    version = lock["info"]["version"]
    if not version.startswith(PAIRS_WITH):
        raise InputError(PARAMETER, f"version {version}", f"it must be {PAIRS_WITH}x")
    return Distribution(Path(folder), lock["info"], needed(lock["packages"], FOR_CASTLAB + FOR_THE_KERNEL))


def needed(packages, names):
    """The entries of these packages and of all that they depend on.

    >>> listed = {"a": {"depends": ["b_c"]}, "b-c": {"depends": []}, "d": {"depends": []}}
    >>> sorted(needed(listed, ["a"]))
    ['a', 'b-c']
    """
    found, waiting = {}, list(names)
    while waiting:
        name = canonical(waiting.pop())
        if name not in packages:
            raise InputError(PARAMETER, f"without {name}", "it must have all that the course needs")
        if name not in found:
            found[name] = packages[name]
            waiting += packages[name]["depends"]
    return found


def canonical(name):
    """A package's name as lists spell it.

    >>> canonical("Typing_Extensions")
    'typing-extensions'
    """
    return re.sub(r"[-_.]+", "-", name).lower()


def sha256(path):
    """The sha256 of a file, as hexadecimal digits."""
    return hashlib.sha256(Path(path).read_bytes()).hexdigest()
