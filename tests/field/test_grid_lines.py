"""Grid lines of solids: on flat faces, finer in thin sections, no more than memory allows."""

import math

import numpy as np
import pytest

from castlab import InputError
from castlab.field import grid_lines
from castlab.field.bodies import ball, cylinder
from castlab.field.grid import build
from castlab.field.grid_lines import FULL, QUICK, cell_for, lines_of
from castlab.field.layout import Layout, box
from castlab.field.parts import PARTS, layout_of


def flask(*blocks):
    return Layout(blocks, (-0.15, -0.15, -0.15), (0.15, 0.15, 0.14))


def plate(thickness, name="plate", role="casting", low=0.0):
    return box(name, role, (-0.06, 0.06), (low, low + thickness), (-0.04, 0.04))


def test_flat_faces_lie_on_lines():
    layout = layout_of("bracket", feeder_width=0.03, feeder_height=0.06)
    for body in layout.blocks:
        for axis, edges in enumerate(lines_of(layout, 3e-3, FULL, {})):
            for place in (body.low[axis], body.high[axis]):
                nearest = np.abs(edges - place).min()
                if body.role == "casting":  # faces nearer than half a cell to another share its line
                    assert nearest < 1e-9 or nearest < 1.5e-3
    edges = lines_of(flask(plate(0.012)), 4e-3, FULL, {})[1]
    assert {0.0, 0.004, 0.008, 0.012} <= {round(float(each), 9) for each in edges}


def test_a_thin_section_alone_gets_finer_cells():
    stub = box("stub", "casting", (-0.002, 0.002), (0.012, 0.032), (-0.002, 0.002))
    x, y, z = lines_of(flask(plate(0.012), stub), 4e-3, FULL, {})
    for edges in (x, z):
        assert np.diff(edges[(edges > -0.0021) & (edges < 0.0021)]) == pytest.approx(0.004 / 3, rel=1e-6)
    assert np.diff(y[(y > -1e-9) & (y < 0.0321)]).min() > 3.9e-3


def test_lines_are_mirrored_for_a_mirrored_layout():
    blocks = plate(0.011), ball("feeder", "feeder", (0.02, 0.03, 0.0), 0.038)
    lines = lines_of(Layout(blocks, (-0.15,) * 3, (0.15,) * 3), 4e-3, FULL, {})
    other = box("plate", "casting", (-0.06, 0.06), (0.0, 0.011), (-0.04, 0.04))
    feeder = ball("feeder", "feeder", (-0.02, 0.03, 0.0), 0.038)
    mirrored = lines_of(Layout((other, feeder), (-0.15,) * 3, (0.15,) * 3), 4e-3, FULL, {})
    assert -mirrored[0][::-1] == pytest.approx(lines[0], abs=1e-12)


@pytest.mark.parametrize("part", PARTS)
def test_a_look_never_has_many_more_cells_than_it_may(part):
    fed = layout_of(part, feeder_width=0.05, feeder_height=0.08)
    for look in (QUICK, FULL):
        cell = cell_for(fed, look)
        assert look.cell <= cell <= grid_lines.MOST_COARSE * look.cell
        assert build(fed, cell, look=look is QUICK).metal.size <= 1.2 * look.cells


def test_too_many_cells_are_refused_with_the_size_that_fits():
    layout = flask(plate(0.04))
    with pytest.raises(InputError, match="memory") as raised:
        lines_of(layout, 0.2e-3, FULL, {})
    assert raised.value.parameter == "cell"
    fits = float(str(raised.value).split("take ")[1].split(" mm")[0]) * 1e-3
    assert 0.2e-3 < fits < 2e-3 and len(lines_of(layout, fits, FULL, {})) == 3
    with pytest.raises(InputError):
        lines_of(layout, 0.95 * fits - 0.1e-3, FULL, {})  # it is said to a tenth of a millimetre


def test_a_body_too_thin_for_the_memory_is_named_with_what_to_change(monkeypatch):
    rib = box("rib", "casting", (-0.06, 0.06), (0.02, 0.0205), (-0.04, 0.04))
    layout = flask(plate(0.02), rib)
    assert math.prod(len(edges) for edges in lines_of(layout, 4e-3, FULL, {})) > 0
    monkeypatch.setattr(
        grid_lines, "MOST_BYTES", 0.98 * grid_lines._bytes(layout, lines_of(layout, 4e-3, FULL, {}))
    )
    with pytest.raises(InputError, match="too thin") as raised:
        lines_of(layout, 4e-3, FULL, {})
    assert raised.value.parameter == "thickness of rib"
    assert "or more" in str(raised.value)


APART = {
    "a gap of half a millimetre": (plate(0.02), plate(0.02, "feeder", "feeder", 0.0205)),
    "beside a ball": (
        ball("ball", "casting", (0.0, 0.0, 0.0), 0.06),
        box("feeder", "feeder", (0.027, 0.05), (0.027, 0.05), (0.027, 0.05)),
    ),
}


@pytest.mark.parametrize("case", APART)
def test_bodies_that_do_not_touch_are_named(case):
    with pytest.raises(InputError, match="hangs in the air") as raised:
        build(flask(*APART[case]), 3e-3)
    assert raised.value.parameter == "place of feeder"


def test_a_core_that_leaves_no_metal_is_refused():
    bar = cylinder("bar", "casting", "y", (0.0, 0.0), 0.03, (0.0, 0.05))
    with pytest.raises(InputError, match="leaves no metal") as raised:
        build(flask(bar, cylinder("core", "core", "y", (0.0, 0.0), 0.03, (0.0, 0.05))), 4e-3)
    assert raised.value.parameter == "core"
