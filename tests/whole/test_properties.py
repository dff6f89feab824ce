"""Any casting that can be drawn is computed and closes, or is refused in words."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from said import said

from castlab import InputError, Setup, alloy, alloy_names, freeze, mould, mould_names, parts, shrinkage
from castlab.field.ledger import KINDS
from castlab.materials import flags
from castlab.units import INCH_POUND

EXAMPLES = settings(max_examples=10)
COARSEST_CELL = 4e-3


def mm(low, high):
    return st.integers(2 * low, 2 * high).map(lambda half: half * 0.5e-3)


def none_or(size):
    return st.one_of(st.just(0.0), size)


@st.composite
def eye_plates(draw):
    thickness = draw(mm(6, 30))
    return dict(
        thickness=thickness,
        length=draw(mm(20, 160)),
        width=draw(mm(10, 100)),
        boss=thickness + draw(mm(0, 40)),
        boss_depth=draw(mm(10, 80)),
        feeder_width=draw(none_or(mm(6, 70))),
        feeder_height=draw(none_or(mm(6, 90))),
        gate_thickness=min(draw(mm(2, 20)), thickness),
    )


@st.composite
def sheaves(draw):
    thickness, rim, hub = draw(mm(6, 20)), draw(mm(6, 25)), draw(mm(10, 60))
    rim_height, web = thickness + draw(mm(0, 30)), draw(mm(6, 50))
    return dict(
        thickness=thickness,
        diameter=hub + 2 * rim + 2 * web,
        rim=rim,
        rim_height=rim_height,
        hub=hub,
        hub_height=thickness + draw(mm(0, 40)),
        feeder_width=draw(none_or(mm(6, 70))),  # refused where it would stand on the rim
        feeder_height=draw(none_or(mm(6, 70))),
        gate_thickness=min(draw(mm(2, 20)), rim_height),
    )


POURS = st.fixed_dictionaries(
    dict(
        metal=st.sampled_from(alloy_names()),
        into=st.sampled_from(mould_names()),
        superheat_k=st.floats(0.0, 200.0),
        pour_time_s=st.floats(0.0, 30.0),
    )
)


def check(part, sizes, pour):
    """Compute one pour and hold the account against itself; a refusal in words is an answer too."""
    metal, into = alloy(pour["metal"]), mould(pour["into"])
    cold = min(into.start_temp_c, metal.solidus_c - 80.0)
    try:
        layout = part(**sizes)
        setup = Setup(
            layout, metal, into, metal.liquidus_c + pour["superheat_k"], cold, pour_time_s=pour["pour_time_s"]
        )
        account = shrinkage(freeze(setup, cell=COARSEST_CELL))
    except InputError as error:
        assert error.parameter and error.allowed
        return
    closes_and_is_finite(account)


def closes_and_is_finite(account):
    assert list(account.paid_m3) == list(KINDS)
    assert all(math.isfinite(paid) for paid in account.paid_m3.values())
    gives_back = {"pour"} if "expands on freezing" in flags(account.run.setup.alloy.name) else set()
    assert all(paid >= -1e-15 for kind, paid in account.paid_m3.items() if kind not in gives_back)
    # what a metal that expands asks for may be next to nothing, and says nothing of the size of the casting
    asked = 0.01 * account.run.grid.metal_volume.sum() if gives_back else account.asked_m3
    assert abs(account.asked_m3 - sum(account.paid_m3.values())) < 1e-9 * asked
    assert np.isfinite(account.void).all()
    assert account.void.min() >= 0.0 and account.void.max() <= 1.0 + 1e-9
    assert account.run.energy_error < 1e-10
    assert np.isfinite(account.run.freeze_time_s[account.run.grid.metal > 0.0]).all()
    for text in (said(account), said(account, INCH_POUND)):
        assert text.endswith(".") and "nan" not in text
    assert all(math.isfinite(place.volume_m3) for place in account.places)


@pytest.mark.slow
@EXAMPLES
@given(eye_plates(), POURS)
def test_any_eye_plate_is_computed_and_closes(sizes, pour):
    check(parts.eye_plate, sizes, pour)


@pytest.mark.slow
@EXAMPLES
@given(sheaves(), POURS)
def test_any_sheave_is_computed_and_closes(sizes, pour):
    check(parts.sheave, sizes, pour)


BAD = st.sampled_from([0.0, -1e-3, math.nan, math.inf, -math.inf, 1e3, 1e-7])
SIZES = ["thickness", "length", "width", "boss", "boss_depth", "gate_thickness"]


@EXAMPLES
@given(st.sampled_from(SIZES), BAD)
def test_a_size_that_cannot_be_is_refused_with_its_name_and_value(size, value):
    try:
        parts.eye_plate(**{size: value})
    except InputError as error:
        assert error.parameter and error.allowed and str(error)
    else:
        raise AssertionError(f"{size} = {value} was taken")
