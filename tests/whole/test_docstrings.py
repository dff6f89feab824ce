"""Docstrings are complete: read from the source, so that a function cannot be forgotten."""

import ast
import re
from collections import defaultdict
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TREES = {path.relative_to(ROOT).as_posix(): ast.parse(path.read_text(encoding="utf-8"))
         for path in sorted((ROOT / "castlab").rglob("*.py"))}
CALCULATIONS = ("castlab/materials.py", "castlab/rules/", "castlab/field/")
# First words of a docstring that say what is done and not what comes out: they need a "Returns" as well.
DEEDS = "Add|Build|Compute|Cut|Find|Follow|Let|Look|Make|Pour|Read|Refuse|Search|Set|Take|Turn|Work"
ORIGINS = "source|published|common practice|judgement|definition|geometry|arithmetic|balance|from memory"


def public(body, prefix=""):
    """(dotted name, node) of every class, function and method whose name has no underscore in front.

    The setter of a property shares its getter's words.
    """
    for node in body:
        if isinstance(node, ast.ClassDef | ast.FunctionDef) and not node.name.startswith("_"):
            if not any(isinstance(each, ast.Attribute) for each in node.decorator_list):
                yield prefix + node.name, node
            if isinstance(node, ast.ClassDef):
                yield from public(node.body, f"{prefix}{node.name}.")


FUNCTIONS = {f"{path}: {name}": (node, tree) for path, tree in TREES.items() if path.startswith(CALCULATIONS)
             for name, node in public(tree.body) if isinstance(node, ast.FunctionDef) and "." not in name}


def calls(node):
    """(name, arguments) of every call in a piece of source."""
    for each in ast.walk(node):
        if isinstance(each, ast.Call):
            yield getattr(each.func, "attr", getattr(each.func, "id", "")), each.args


def refuses(node, tree):
    """Whether a function refuses input, by itself or through a private one of its module."""
    private = {each.name: each for each in tree.body
               if isinstance(each, ast.FunctionDef) and each.name.startswith("_") and each is not node}
    names = {name for name, _ in calls(node)}
    return any(name == "InputError" or name.startswith("require_") for name in names) or any(
        refuses(private[name], tree) for name in names & private.keys())


def units_by_parameter():
    """{name: units} of all that the package checks in units, and nowhere as a bare number."""
    units = defaultdict(set)
    for tree in TREES.values():
        for name, arguments in calls(tree):
            if name in ("require_number", "require_positive", "require_between"):
                value, unit = arguments[1], getattr(arguments[-1], "value", "")
                units[getattr(value, "id", "")].add(unit if isinstance(unit, str) else "")
    return {name: each for name, each in units.items() if "" not in each}


UNITS = units_by_parameter()


def missing(name, node, tree):
    """What the docstring of a calculation does not say."""
    words = ast.get_docstring(node) or ""
    parameters = [each.arg for each in node.args.args + node.args.kwonlyargs]
    units = {unit.strip() for each in re.findall(r"\[(.+?)\]", words) for unit in re.split("[,;]", each)}
    found = [each for each in parameters if not re.search(rf"\b{each}\b", words)]
    found += [f"{each} [{' or '.join(sorted(UNITS[each]))}]" for each in parameters
              if each in UNITS and not each.endswith("_c") and not UNITS[each] & units]
    gives = any(isinstance(each, ast.Return) and each.value for each in ast.walk(node))
    said = "eturns" in words or not re.match(rf"({DEEDS})\b", words)
    return found + [what for what, is_missing in {
        "what it returns": gives and not said,
        "what it raises": refuses(node, tree) and not re.search("InputError|[Rr]efuse", words),
        "where it comes from": name.startswith("castlab/rules/") and not re.search(ORIGINS, words.lower()),
        "a worked example": ">>>" not in words,
    }.items() if is_missing]


@pytest.mark.parametrize("path", TREES)
def test_every_public_thing_says_what_it_is(path):
    things = {"the module": TREES[path], **dict(public(TREES[path].body))}
    assert [name for name, node in things.items() if not ast.get_docstring(node)] == []


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_calculation_says_all_that_its_user_needs(name):
    assert missing(name, *FUNCTIONS[name]) == []


def test_a_gap_is_seen():
    tree = ast.parse('def f(head, name):\n    """Find."""\n    return require_positive("head", head, "m")')
    assert missing("castlab/rules/f.py: f", tree.body[0], tree) == [
        "head", "name", "head [m]", "what it returns", "what it raises", "where it comes from",
        "a worked example"]
