"""What was computed for one state of the benches says so as soon as they stand elsewhere."""

from dataclasses import dataclass

from castlab.teach.sliders.slider import words_of

BOOK = "the shop's book as it was"
MOST_NAMED = 3  # of the sliders that stand elsewhere: more would not be read


@dataclass(frozen=True)
class ComputedFor:
    """Where one or more benches stood: of each the bench, the values of its sliders, and what the shop's book
    said to it.

    A panel keeps it beside what it computed, and asks it again each time that a bench has moved.
    """

    stood: tuple

    @property
    def values(self):
        """Values of the first bench's sliders."""
        return self.stood[0][1]

    @property
    def holds(self):
        """Whether every bench stands there now."""
        return all(bench.values == values and bench.from_book == said for bench, values, said in self.stood)

    @property
    def settings(self):
        """What stands elsewhere now, in words."""
        moved = [(control.slider, values[name], control.value, bench.units) for bench, values, _ in self.stood
                 for name, control in bench.controls.items() if control.value != values[name]]
        named = [f"{slider.label} {words_of(slider, then, units)} (now {words_of(slider, now, units)})"
                 for slider, then, now, units in moved]
        if any(bench.from_book != said for bench, _, said in self.stood):
            named.insert(0, BOOK)
        more = len(named) - MOST_NAMED
        return ", ".join(named[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")

    def note(self, thing, button):
        """That a thing is for other settings, which, and what computes it again; empty while it holds.

        >>> from castlab.teach.bench.ready_made import eye_plate_bench
        >>> bench = eye_plate_bench(feeder_width=0.040)
        >>> answer = as_it_stands(bench)
        >>> answer.note("This answer", "How sure?")
        ''
        >>> _ = bench.set(feeder_width=0.0)
        >>> answer.note("This answer", "How sure?").split(". ")[0]
        'This answer is for other settings: feeder width 40 mm (now 0 mm)'
        """
        if self.holds:
            return ""
        which = f": {self.settings}" if self.settings else ""  # a desk for own parts has no sliders to name
        return f"{thing} is for other settings{which}. Press “{button}” for the present ones."


def as_it_stands(*benches):
    """The present state of these benches: a ComputedFor."""
    return ComputedFor(tuple((bench, bench.values, bench.from_book) for bench in benches))
