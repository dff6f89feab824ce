"""What a pool pays inside, by hand: few cells of one kilogram each."""

from types import SimpleNamespace

import numpy as np
import pytest

from castlab.field.ledger import EQUALLY_SOLID, KINDS, Ledger

CASTING, FEEDER = -1, KINDS.index("feeder")


class ByHand(Ledger):
    """Cells above each other, the first lowest; it keeps what it is told to book."""

    def __init__(self, primary, slurry, payer):
        count = len(primary)
        self.primary, self.slurry = np.array(primary), np.array(slurry)
        self.payer, self.alloy = np.array(payer), SimpleNamespace(mobile_limit=0.3)
        self.volume, self.rho = np.ones(count), np.ones(count)
        self.empty, self.gone = np.zeros(count), np.zeros(count)
        self.lines = SimpleNamespace(row=np.arange(count), rows=count)
        self.feeder_could, self.booked = True, []

    def book(self, cells, given_kg, drained=False, air=False):
        if given_kg.any():
            self.booked.append((given_kg.tolist(), drained, self.feeder_could))

    def pay(self, due_kg):
        cells = np.arange(len(self.primary))
        self.pay_inside(cells, np.flatnonzero(self.slurry), due_kg)
        return self.booked


def test_the_upper_one_that_moves_gives_all_it_has_before_the_lower_one():
    ((given, drained, feeder_could),) = ByHand([0.0, 0.0], [1.0, 1.0], [CASTING] * 2).pay(1.5)
    assert given == pytest.approx([0.5, 1.0]) and not drained and feeder_could


def test_what_moves_gives_first_then_liquid_drains_and_no_feeder_can_help_any_more():
    moved, drained = ByHand([0.5, 0.0], [0.0, 1.0], [CASTING] * 2).pay(1.2)
    assert moved == ([0.0, pytest.approx(1.0)], False, True)
    assert drained == ([pytest.approx(0.2), pytest.approx(0.0)], True, False)


def test_where_nothing_is_left_to_give_the_rest_opens_all_over():
    first, rest = ByHand([0.5, 0.5], [0.0, 0.0], [CASTING] * 2).pay(1.4)
    assert first[0] == pytest.approx([0.5, 0.5]) and rest == ([pytest.approx(0.2)] * 2, True, False)


@pytest.mark.parametrize("primary, together", [
    (0.3 - 0.5 * EQUALLY_SOLID, True), (0.3 - 2.0 * EQUALLY_SOLID, False)])
def test_what_hardly_moves_any_longer_drains_with_a_feeder_that_is_as_solid(primary, together):
    booked = ByHand([primary, primary], [1.0, 0.0], [CASTING, FEEDER]).pay(0.1)
    assert [drained for _, drained, _ in booked] == [together]
    assert (booked[0][0][1] > 0.0) is together
