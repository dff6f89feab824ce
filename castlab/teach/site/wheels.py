"""Wheels for the browser: castlab, and packages that are installed here and that the distribution lacks.

A wheel is a zip of a package's files. Compiled parts are left out: those packages go without them, and a
browser could not run them. Equal files make equal wheels, byte for byte.
"""

import hashlib
import zipfile
from importlib import metadata
from pathlib import Path

from castlab.teach.site.distribution import canonical, sha256

# Package: what depends on it there. Each is installed by requirements.txt.
INSTALLED = {
    "comm": ("traitlets",),
    "ipywidgets": ("ipython", "comm", "traitlets"),
    "psygnal": (),
    "typing-extensions": (),
    "anywidget": ("ipywidgets", "psygnal", "typing-extensions"),
    "markupsafe": (),
    "jinja2": ("markupsafe",),
}
CASTLAB_NEEDS = ("numpy", "scipy", "matplotlib", "pillow", "ipywidgets", "anywidget", "jinja2")
COMPILED = (".so", ".pyd", ".c")
CASTLAB = Path(__file__).resolve().parents[2]
ALWAYS = (1980, 1, 1, 0, 0, 0)  # the date of every file in a wheel
WHEEL = "Wheel-Version: 1.0\nGenerator: castlab\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
METADATA = "Metadata-Version: 2.1\nName: {}\nVersion: {}\n"


def write_wheels(folder):
    """Write all wheels into a folder; returns {name: entry for the distribution's list}.

    Raises importlib.metadata.PackageNotFoundError for what is not installed here.
    """
    entries = {name: _write(folder, name, metadata.version(name), installed_files(name), depends)
               for name, depends in INSTALLED.items()}
    own = castlab_files()
    entries["castlab"] = _write(folder, "castlab", number_of(own), own, CASTLAB_NEEDS)
    return entries


def castlab_files():
    """{name in the wheel: path} of castlab as it stands here."""
    return {path.relative_to(CASTLAB.parent).as_posix(): path for path in CASTLAB.rglob("*")
            if path.is_file() and "__pycache__" not in path.parts}


def number_of(files):
    """A version that changes with the files: no browser takes what it has kept of an older castlab for it."""
    told = hashlib.sha256()
    for inside, source in sorted(files.items()):
        told.update(inside.encode() + source.read_bytes())
    return f"0.{int.from_bytes(told.digest()[:4])}"


def installed_files(name):
    """{name in the wheel: path} of an installed package, without what is compiled or stands elsewhere."""
    found = metadata.distribution(name)
    return {file.as_posix(): Path(found.locate_file(file)) for file in found.files
            if ".." not in file.parts and "__pycache__" not in file.parts and file.suffix not in COMPILED
            and not file.parts[0].endswith(".dist-info")}


def entry_of(name, version, wheel, imports, depends=()):
    """What the distribution's list says of a `wheel` (its path) that is served beside it."""
    return {"name": name, "version": version, "file_name": wheel.name, "install_dir": "site",
            "sha256": sha256(wheel), "package_type": "package", "imports": list(imports),
            "depends": list(depends), "unvendored_tests": False}


def _write(folder, name, version, files, depends):
    stem = f"{canonical(name).replace('-', '_')}-{version}"
    path = Path(folder) / f"{stem}-py3-none-any.whl"
    told = {f"{stem}.dist-info/METADATA": METADATA.format(name, version), f"{stem}.dist-info/WHEEL": WHEEL}
    with zipfile.ZipFile(path, "w") as wheel:
        for inside, source in sorted(files.items()) + sorted(told.items()):
            data = source.read_bytes() if isinstance(source, Path) else source.encode()
            wheel.writestr(zipfile.ZipInfo(inside, ALWAYS), data, zipfile.ZIP_DEFLATED)
    imports = {inside.partition("/")[0].removesuffix(".py") for inside in files}
    return entry_of(canonical(name), version, path, sorted(imports), depends)
