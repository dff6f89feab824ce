"""An account made by hand, small enough to see through; tests change in it what they ask about."""

from types import SimpleNamespace

from castlab.field import parts
from castlab.field.holes import Place, holes_of
from castlab.field.ledger import KINDS

FED = parts.eye_plate(feeder_width=40e-3, feeder_height=60e-3, neck_width=20e-3)
CUBIC_CM = 1e-6
IN_BOSS = (0.14, 0.0, 0.0)
FROZE = {"plate": 40.0, "boss": 100.0, "gate": 10.0, "sprue": 30.0, "feeder": 150.0, "neck": 130.0}


def hole(kind="sink", block="boss", volume=CUBIC_CM, centre=IN_BOSS, frozen_s=90.0):
    return Place(kind, volume, centre, block, frozen_s)


def account(*places, layout=FED, froze=(), emptied=0.2, beside=0.0, past=0.0, paid=(), **changes):
    """1 cm3 drawn out of the casting, and a feeder that outlasts it and gives a fifth; with changes.

    `beside`, `past` and `paid` in cm3; `changes` of other values of the account, or of the cells.
    """
    metal = {body.name for body in layout.blocks if body.is_metal}
    froze_s = {name: time for name, time in (FROZE | dict(froze)).items() if name in metal}
    cells = {name: changes.pop(name) for name in ("block", "metal") if name in changes}
    run = SimpleNamespace(grid=SimpleNamespace(layout=layout, **cells))
    run.freeze_time_s = changes.pop("freeze_time_s", None)
    paid_m3 = dict.fromkeys(KINDS, 0.0) | {kind: share * CUBIC_CM for kind, share in dict(paid).items()}
    values = dict(
        run=run,
        places=places or (hole(),),
        verdict="defective",
        froze_s=froze_s,
        casting_froze_s=100.0,
        feeder_emptied=emptied,
        asked_m3=CUBIC_CM,
        defect_m3=CUBIC_CM,
        paid_m3=paid_m3,
        beside_feeder_m3=beside * CUBIC_CM,
        past_feeder_m3=past * CUBIC_CM,
        path=None,
    )
    values |= changes
    return SimpleNamespace(holes=holes_of(values["places"]), **values)
