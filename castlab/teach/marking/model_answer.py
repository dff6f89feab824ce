"""The truth about an exercise and the best cures that its sliders allow: searched each time, never stored."""

from collections import Counter
from dataclasses import dataclass, field, replace

from castlab.errors import InputError
from castlab.field import cure_kinds, cures
from castlab.field.diagnosis import diagnose
from castlab.field.outcome import Outcome, outcome_of, pour, summary_of
from castlab.plan import Batch, Job, side_by_side
from castlab.teach.exercise.places import bodies_in, thirds_of
from castlab.teach.text.reader_units import BOTH
from castlab.teach.text.sentence import sentence

ALLOWED_POURS = 80  # about so many does the search for the model cures take; only a bar needs it


@dataclass(frozen=True)
class Truth:
    """The bad casting, solved: what came of it, what the bench says, in both units, and where the casting is
    one body, shares of all holes in its thirds."""

    outcome: Outcome
    sentence: str
    thirds: dict = field(default_factory=dict)

    @property
    def blocks(self):
        """{place: share of all holes}, first that of the largest hole, which the sentence names first; of a
        part of one body its thirds, else blocks."""
        if self.thirds:
            return self.thirds
        sums = Counter()
        for hole in self.outcome.holes:
            sums[hole.block] += hole.volume_m3
        order = dict.fromkeys((self.outcome.block, *(name for name, _ in sums.most_common())))
        return {name: sums[name] / sums.total() for name in order}


def truth_of(exercise):
    """Solve the bad casting itself: a Truth. Raises InputError when it is not bad."""
    account = pour(exercise.design())
    diagnosis = diagnose(account)
    if diagnosis.hole is None:
        raise InputError("exercise", exercise.title, "its casting must have a hole to be found")
    layout = account.run.setup.layout
    thirds = thirds_of(account.holes, layout) if len(bodies_in(layout)) == 1 else {}
    return Truth(summary_of(account), sentence(diagnosis, BOTH), thirds)


def within(exercise, changes):
    """A cure's changes that change something; None when the exercise's sliders do not allow them."""
    now = cure_kinds.usual_sizes(exercise.part) | exercise.bench_values()
    wanted = {name: value for name, value in changes if now.get(name) != value}
    try:
        exercise.require_cure(wanted)
    except InputError:
        return None
    return wanted


def allowed_kinds(exercise):
    """Kinds of cure with the settings that the exercise's sliders allow: those of `castlab.field.cures`, and
    each slider alone, up and down from where it stands."""
    found = []
    for kind in (*cure_kinds.kinds_of_cure(exercise.design()), *_each_slider(exercise)):
        settings = []
        for setting, changes in kind.settings:
            wanted = within(exercise, changes)
            if wanted:
                settings.append((setting, tuple(wanted.items())))
        if settings:
            found.append(replace(kind, settings=tuple(settings)))
    return tuple(found)


def allowed_cures(exercise):
    """The plan that searches the cures that a student can find.

    Its answer is those that are sound and that the pot can hold, as `Cure`s, the least metal first.
    """
    design = exercise.design()
    (before,) = yield Batch([Job(outcome_of, design)], more=ALLOWED_POURS)
    found = yield from side_by_side(
        cures.smallest_sound(design, kind, before) for kind in allowed_kinds(exercise)
    )
    fits = [cure for cure in found if cure.works and cure.outcome.poured_kg <= exercise.most_metal_kg]
    return tuple(sorted(fits, key=lambda cure: (cure.outcome.poured_kg, len(cure.changes), cure.key)))


def _each_slider(exercise):
    for slider in exercise.sliders():
        if slider.kind == "choice":
            if slider.name not in ("alloy", "mould"):
                for option in slider.options:
                    yield cure_kinds.KindOfCure(slider.name, slider.label,
                                                ((option, ((slider.name, option),)),))
            continue
        count = round((slider.high - slider.low) / slider.step)
        values = [round(slider.low + slider.step * step, 9) for step in range(count + 1)]
        for side in ([each for each in values if each > slider.value],
                     [each for each in values if each < slider.value][::-1]):
            yield cure_kinds.KindOfCure(slider.name, slider.label,
                              tuple((value, ((slider.name, value),)) for value in side))
