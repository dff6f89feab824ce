"""Gas and fine structure: what the rules refuse.

Published numbers: tests/published.
"""

import pytest

from castlab.errors import InputError
from castlab.materials import alloy
from castlab.rules import gas

A356 = alloy("A356")


@pytest.mark.parametrize(
    "call, parameter",
    [
        (lambda: gas.hydrogen_in_liquid(600), "temperature"),
        (lambda: gas.hydrogen_in_liquid(700, 0.0), "pressure of hydrogen"),
        (lambda: gas.hydrogen_in_solid(700), "temperature"),
        (lambda: gas.arm_spacing(A356, -1.0), "local freezing time"),
        (lambda: gas.arm_spacing_al_cu_si(0.0, 7.0, 10.0), "copper"),
        (lambda: gas.niyama(100.0, 0.0), "cooling rate"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, parameter):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.parameter == parameter
