"""A distribution for browsers is looked at before it is copied: version, packages, every file."""

import json

import pytest

from castlab.errors import InputError
from castlab.teach.site.distribution import CORE, FOR_CASTLAB, FOR_THE_KERNEL, LOCK, distribution_in, sha256


@pytest.fixture
def folder(tmp_path):
    """A made-up distribution: each package one small file, numpy leaning on one more."""
    for name in CORE:
        (tmp_path / name).write_text(name)
    packages = {}
    for name in (*FOR_CASTLAB, *FOR_THE_KERNEL, "openblas", "never-asked-for"):
        (tmp_path / f"{name}.whl").write_text(f"the package {name}")
        packages[name] = {"file_name": f"{name}.whl", "depends": ["OpenBLAS"] if name == "numpy" else [],
                          "sha256": sha256(tmp_path / f"{name}.whl")}
    write(tmp_path, packages)
    return tmp_path


def write(folder, packages, version="0.27.7"):
    (folder / LOCK).write_text(json.dumps({"info": {"version": version}, "packages": packages}))


def packages_in(folder):
    return json.loads((folder / LOCK).read_text())["packages"]


def test_it_takes_the_core_what_is_needed_and_what_that_leans_on(folder):
    found = distribution_in(folder)
    names = {path.name for path in found.files()}
    assert names == {*CORE, *(f"{name}.whl" for name in (*FOR_CASTLAB, *FOR_THE_KERNEL, "openblas"))}
    assert {path.name for path in found.files(with_packages=False)} == set(CORE)
    assert found.official == "https://cdn.jsdelivr.net/pyodide/v0.27.7/full/"


def test_a_file_that_is_not_what_the_list_says_is_refused(folder):
    (folder / "scipy.whl").write_text("something else")
    with pytest.raises(InputError, match="scipy.whl.*sha256"):
        distribution_in(folder).files()


def test_a_file_that_is_missing_is_named(folder):
    (folder / "pyodide.asm.wasm").unlink()
    with pytest.raises(InputError, match="pyodide.asm.wasm"):
        distribution_in(folder).files(with_packages=False)


def test_a_package_that_is_missing_is_named(folder):
    packages = packages_in(folder)
    del packages["pillow"]
    write(folder, packages)
    with pytest.raises(InputError, match="without pillow"):
        distribution_in(folder)


def test_another_version_and_no_distribution_at_all_are_refused(folder, tmp_path):
    write(folder, packages_in(folder), "0.29.3")
    with pytest.raises(InputError, match=r"0\.29\.3.*0\.27\.x"):
        distribution_in(folder)
    with pytest.raises(InputError, match=LOCK):
        distribution_in(tmp_path / "nowhere")
