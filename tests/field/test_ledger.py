"""The account at rest: what suction on the way through the mush leaves open, and where it says nothing."""

import numpy as np
import pytest
from test_shrinkage import MUSHY, SHARE, column, fed_to_the_end, prescribed

from castlab import shrinkage
from castlab.field.feeding_path import FeedingPath


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
