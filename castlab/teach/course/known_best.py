"""The mark of each bench: the lightest sound casting that a search knows. It is found, and found again by a
slow test, with `castlab.teach.find_known_best`."""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FILE = Path(__file__).resolve().parents[2] / "data" / "known_best.json"


@dataclass(frozen=True)
class KnownBest:
    """The lightest sound casting that is known: all metal in its mould [kg], and where its sliders stand."""

    mass_kg: float
    values: dict[str, float | str]


@cache
def known_bests():
    """{(name of a lesson's module, name of its bench): KnownBest}.

    >>> known_bests()["first_casting", "begin"].mass_kg > 0.7
    True
    """
    rows = json.loads(FILE.read_text(encoding="utf-8")) if FILE.is_file() else []
    return {(row["lesson"], row["bench"]): KnownBest(row["mass_kg"], row["values"]) for row in rows}
