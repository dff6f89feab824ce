"""The account at rest: what suction on the way through the mush leaves open, and where it says nothing."""

import numpy as np
import pytest
from test_shrinkage import MUSHY, SHARE, column, fed_to_the_end, prescribed

from castlab import Setup, alloy, freeze, mould, shrinkage
from castlab.field.feeding_path import FeedingPath
from castlab.field.layout import Layout
from castlab.field.rigging import slab


def slower_feeder(x, y):
    """Half as solid as the column below it, until the end."""
    return [np.where(y > 0.040, 0.5 * share, share) for share in (0.0, 0.1, 0.5, 0.9, 1.0)]


def test_at_rest_the_path_says_what_opens_where_a_feeder_pays(monkeypatch):
    """The same, but the suction finds that all arrives: the local guess counts no longer. In a bar without a
    feeder nothing else says it, and it counts."""
    fed_to_the_end(monkeypatch, 0.9)
    blocks = [column(0.040), column(0.020, "feeder", "feeder", 0.040)]
    fed, bare = (prescribed(each, slower_feeder, MUSHY) for each in (blocks, blocks[:1]))
    assert fed.paid_m3["sponge"] == 0.0
    assert bare.paid_m3 == prescribed(blocks[:1], slower_feeder, MUSHY, at_rest=False).paid_m3
    assert bare.paid_m3["sponge"] > 0.0


def test_pores_on_the_way_pay_and_nobody_else_pays_for_them(monkeypatch):
    """A tenth of what each step asks, in each cell: sponge. The feeder gives so much less, but for its own
    density, and for what stays in it and shrinks too: each a share as the metal shrinks."""
    blocks = [column(0.040), column(0.020, "feeder", "feeder", 0.040)]
    plain = prescribed(blocks, slower_feeder, MUSHY)
    run, beta = plain.run, MUSHY.freezing_contraction
    volume = run.grid.metal_volume.ravel()[run.metal_cells]
    casting = run.grid.is_role("casting").ravel()[run.metal_cells]
    growth = np.where(casting, 0.1 * beta * run.solid * volume, 0.0)
    monkeypatch.setattr(FeedingPath, "opened", lambda path, step: growth[step + 1] - growth[step])
    account = shrinkage(run)
    assert account.paid_m3["sponge"] == pytest.approx(growth[-1].sum(), rel=1e-9)
    less = plain.paid_m3["feeder"] - account.paid_m3["feeder"]
    assert less == pytest.approx(account.paid_m3["sponge"], rel=2.0 * SHARE)
    assert sum(account.paid_m3.values()) == pytest.approx(account.asked_m3, rel=1e-12)


@pytest.mark.parametrize("still, of_one_step", [(0.19, 0.0), (0.165, 0.4), (0.12, 1.0)])
def test_a_pocket_that_moves_by_a_hair_opens_no_hollow_by_a_feeder_as_solid(monkeypatch, still, of_one_step):
    """Metal moves up to 0.2 of crystals, and 0.03, 0.04, 0.05, 0.06 and 0.07 of difference count as none, for
    a fifth of what is due each. A pocket in the casting, no air in it, below a feeder of 0.21: all it could
    pay is what one step asks for, so that longer steps would make larger holes. Where it clearly moves still,
    it does pay."""
    fed_to_the_end(monkeypatch)

    def defect(still):
        def pocket(x, y):
            stiff = np.where((y > 0.016) & (y < 0.028), still, 0.21)
            return [0.0, stiff, 0.5, np.where(y < 0.040, 1.0, 0.6), 1.0]

        blocks = [column(0.040), column(0.020, "feeder", "feeder", 0.040)]
        account = prescribed(blocks, pocket, MUSHY, at_rest=False)
        assert account.paid_m3["feeder"] + account.defect_m3 == pytest.approx(account.asked_m3, rel=1e-12)
        return account.defect_m3

    assert defect(still) == pytest.approx(of_one_step * defect(0.12), rel=0.05)
    assert defect(0.12) > 0.0


def test_a_feeder_of_a_metal_that_freezes_at_a_front_has_a_hollow_and_a_mushy_one_is_drained():
    """Casters find a clear funnel in the one, in the other a shallow dish with spongy metal below it. Clear
    are cells with less than a tenth of their metal; both feeders give about a tenth of themselves."""
    clear = {}
    for name in ("pure aluminium", "tin bronze"):
        block = slab("block", "casting", (0.04, 0.08), (0.0, 0.03), 0.04)
        feeder = slab("feeder", "feeder", (0.04, 0.08), (0.03, 0.09), 0.04)
        layout, metal = Layout((block, feeder), (-0.03, -0.06, -0.09), (0.15, 0.09, 0.09)), alloy(name)
        setup = Setup(layout, metal, mould("dry silica sand"), metal.liquidus_c + 60.0)
        account = shrinkage(freeze(setup, 4e-3))
        grid = account.run.grid
        gone = account.void * grid.metal_volume
        clear[name] = gone[grid.is_role("feeder") & (account.void > 0.9)].sum() / account.paid_m3["feeder"]
    assert clear["pure aluminium"] > 0.5 and clear["tin bronze"] < 0.2
