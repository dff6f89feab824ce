"""Every public name of castlab/rules is used by something that a person sees: read from the source.

What stands in castlab/teach, in castlab/shop, whose words are shown there, and in the notebooks counts, and
what a rule calls that is itself used so. A test, or a docstring's example, is no use.
"""

import ast
import json
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
RULES = "castlab.rules"


def rule_modules():
    """The tree of each module of castlab/rules, by its name."""
    return {path.stem: ast.parse(path.read_text(encoding="utf-8"))
            for path in sorted((ROOT / "castlab" / "rules").glob("*.py")) if path.stem != "__init__"}


def shown_to_people():
    """The tree of each module of teach and shop, and of the code of each notebook."""
    for room in ("teach", "shop"):
        for path in (ROOT / "castlab" / room).rglob("*.py"):
            yield ast.parse(path.read_text(encoding="utf-8"))
    for path in (ROOT / "notebooks").rglob("*.ipynb"):
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        yield ast.parse("\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"))


def defined(tree):
    """The nodes that define each name at the top of a module: functions, classes, constants."""
    named = {}
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            named.setdefault(node.name, []).append(node)
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            names = [each.id for target in targets for each in ast.walk(target) if isinstance(each, ast.Name)]
            for name in names:
                named.setdefault(name, []).append(node)
    return named


def rules_named(tree, inside, own=""):
    """Each (module, name) of castlab.rules that a node of a module names; `own`: its module, if a rule.

    A name counts where it stands for a rule: `from castlab.rules.modulus import ball` and then `ball`, or
    `from castlab.rules import modulus` and then `modulus.ball`.
    """
    modules, names = {}, {name: (own, name) for name in defined(tree)} if own else {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith(RULES):
            module = node.module.removeprefix(RULES).removeprefix(".")
            for each in node.names:
                if module:
                    names[each.asname or each.name] = module, each.name
                else:
                    modules[each.asname or each.name] = each.name
    for node in ast.walk(inside):
        if isinstance(node, ast.Name) and node.id in names:
            yield names[node.id]
        elif isinstance(node, ast.Attribute) and getattr(node.value, "id", None) in modules:
            yield modules[node.value.id], node.attr


def unused(rules, shown):
    """Public names of rule modules that nothing shown reaches: ["module.name", ...]."""
    nodes = {(module, name): each for module, tree in rules.items() for name, each in defined(tree).items()}
    reached, waiting = set(), [key for tree in shown for key in rules_named(tree, tree)]
    while waiting:
        key = waiting.pop()
        if key in nodes and key not in reached:
            reached.add(key)
            waiting += [each for node in nodes[key] for each in rules_named(rules[key[0]], node, key[0])]
    return [f"{module}.{name}" for module, name in nodes
            if not name.startswith("_") and (module, name) not in reached]


def test_every_rule_is_used():
    assert unused(rule_modules(), shown_to_people()) == []


CALLED = "from castlab.rules import modulus\nmodulus.ball(1.0)"


@pytest.mark.parametrize("rule, shown, left", [
    ("def ball(d): return d / SIX\nSIX = 6.0", CALLED, []),
    ("def ball(d): return d\ndef rod(d): return d", CALLED, ["modulus.rod"]),
    ("def ball(d): return d\ndef rod(d): return ball(d)", CALLED, ["modulus.rod"]),
    ("def ball(d): return _rod(d)\ndef _rod(d): return plate(d)\ndef plate(d): return d", CALLED, []),
    ("def ball(d): return d", "from castlab.field.parts import ball\nball(1.0)", ["modulus.ball"]),
    ("def ball(d): return d", "from castlab.rules.modulus import ball", ["modulus.ball"]),
    ("def ball(d): return d", "from castlab.rules.modulus import ball as b\nb(1.0)", []),
])
def test_a_rule_that_is_left_over_is_seen(rule, shown, left):
    assert unused({"modulus": ast.parse(rule)}, [ast.parse(shown)]) == left
