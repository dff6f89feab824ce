"""castlab: see where a casting shrinks, why, and what cures it.

The public names load their modules when first used, so that a table of alloys does not wait for the solver.
"""

import importlib

_HOME = {
    "alloy": "castlab.materials",
    "mould": "castlab.materials",
    "alloy_names": "castlab.materials",
    "mould_names": "castlab.materials",
    "InputError": "castlab.errors",
    "Setup": "castlab.field.layout",
    "freeze": "castlab.field.freeze",
    "shrinkage": "castlab.field.shrinkage",
    "pour": "castlab.field.outcome",
    "diagnose": "castlab.field.diagnosis",
    "sentence": "castlab.teach.text.sentence",
    "parts": "castlab.field.parts",
}
__all__ = [*_HOME]


def __getattr__(name):
    if name not in _HOME:
        raise AttributeError(f"castlab has no {name!r}")
    module = importlib.import_module(_HOME[name])
    globals()[name] = found = getattr(module, name, module)  # `parts` is a module itself
    return found
