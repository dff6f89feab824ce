"""The account moment by moment ends where the account ends, and nothing that was supplied is taken back."""

import numpy as np
import pytest

from castlab import Setup, alloy, mould, parts
from castlab.field.history import SUPPLIERS, history
from castlab.field.holes import DEFECTS
from castlab.field.outcome import COARSE, pour


@pytest.mark.parametrize("metal, feeder", [("ZA-12", 0.0), ("tin bronze", 0.0), ("pure aluminium", 0.03)])
def test_it_ends_as_the_account_does(metal, feeder):
    setup = Setup(parts.eye_plate(feeder_width=feeder, feeder_height=0.05), alloy(metal), mould("green sand"),
                  alloy(metal).pour_range_c[0])
    account = pour(setup, COARSE)
    past, run, paid = history(account), account.run, account.paid_m3
    own = sum(paid[kind] for kind in (*DEFECTS, "dimensional"))
    wanted = dict(zip(SUPPLIERS, (paid["pour"], paid["gate"], paid["feeder"], own), strict=True))
    for supplier, volumes in past.supplied.items():
        assert volumes[-1] == pytest.approx(wanted[supplier], rel=1e-3, abs=1e-10)
        assert (volumes[0] == 0.0) == (supplier != "pour") and np.diff(volumes).min() >= -1e-12
    assert past.void[-1] == pytest.approx(account.void.ravel()[run.metal_cells], abs=1e-4)
    assert (past.times_s == run.times_s).all() and past.void.shape == run.solid.shape
    assert not past.void[0].any() and np.diff(past.void, axis=0).min() >= 0.0
