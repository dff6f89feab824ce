"""The lessons in their order: what each is about, and what somebody who has done it knows."""

import re
import sys
from dataclasses import dataclass

from castlab.errors import require_known


@dataclass(frozen=True)
class Lesson:
    """One lesson: its number, the name of its module and notebook, its title, what it is about, and three
    sentences for whoever has done it."""

    number: int
    name: str
    title: str
    about: str
    known: tuple[str, str, str]

    @property
    def file(self):
        """The name of its notebook."""
        return f"{self.number:02d}_{self.name}.ipynb"


LESSONS = (
    Lesson(1, "first_casting", "The first casting",
           "where an eye plate shrinks, and a feeder that takes the hole out", (
               "The hole is where the metal freezes last, unless somebody gives to that place to the end.",
               "All of the metal shrinks alike; what froze early took from what was still liquid.",
               "A feeder works if it stays liquid longer than the casting, holds enough, and can reach it.")),
    Lesson(2, "three_shrinkages", "Three shrinkages",
           "which shrinkage the feeder makes good, and which the pattern", (
               "Metal contracts three times: as a liquid, as it freezes, and as a solid.",
               "A feeder pays for the first two, the pattern for the third.",
               "A larger pattern takes no hole out, and a feeder makes no casting larger.")),
    Lesson(3, "modulus_and_freezing_order", "Modulus and freezing order",
           "which section is solid last, by hand and computed", (
               "The time to freeze goes with the square of the modulus, volume over cooling surface.",
               "A face where two bodies join does not cool, and is left out.",
               "Shapes of one modulus do not freeze quite together, and heat also flows from body to body.")),
    Lesson(4, "heavy_sections", "Heavy sections",
           "what the designer can do before any feeder", (
               "Where sections meet, a hot spot is left; circles in the drawing find it.",
               "A thinner rib and a fillet that is not too large keep it small.",
               "Some place is always last: what the design cannot take away asks for metal from outside.")),
    Lesson(5, "feeders", "Feeders",
           "how large, where, and what they cost", (
               "A feeder stands where the casting freezes last, not where there is room.",
               "Modulus and volume each ask for a size; the larger counts.",
               "The pipe in a feeder is no defect, as long as it does not reach the casting.")),
    Lesson(6, "cures_without_a_feeder", "Cures without a feeder",
           "chill, core, gate, taper, another orientation: what each can do, and what not", (
               "A chill brings no metal: it shows the way to metal that somebody else brings.",
               "In the wrong place a cure only moves the hole, or makes it larger.",
               "Every cure has its price: compare metal, how sure it is, and what else it changes.")),
    Lesson(7, "superheat_and_filling", "Superheat and filling",
           "does the thin plate fill, and what does heat cost?", (
               "A thin plate fills if it stays open for clearly longer than filling takes.",
               "Hotter metal runs farther, but asks for more volume and takes longer to freeze.",
               "Speed can do what heat does, but fast metal carries skin and air in.")),
    Lesson(8, "melt_plan", "The melt plan",
           "is the metal ready when the display says so?", (
               "Casting, feeder, gate, sprue, heel and dross: all of it is weighed in.",
               "The display runs ahead of the metal, so wait until the metal has caught up.",
               "What the mould wants, and what is lost on the way, says what to set on a checked sensor.")),
    Lesson(9, "sponge_and_gas", "Sponge and gas",
           "fine holes, and how to tell where they come from", (
               "An alloy that freezes over a long range can have sponge, however large its feeder is.",
               "A steep rise of temperature keeps the way through the mush short.",
               "Round, bright pores speak for gas, rough ones for shrinkage, and often both are there.")),
    Lesson(10, "read_the_defect", "Read the defect",
           "a sawn casting, evidence, a cause, a cure", (
               "The look of a hole says what it is; who could have paid, and until when, says why.",
               "One or two facts decide; every further one costs an evening in the shop.",
               "The cure belongs to the cause: another one costs metal and leaves the hole.")),
    Lesson(11, "your_own_part", "Your own part",
           "the fitting that you brought: measured, built, fed, and one cure defended", (
               "Any fitting is plain bodies, and its volume by hand finds the slips before the pour does.",
               "Each hot spot needs metal of its own, and the way up decides where the scar is.",
               "A cure is defended by its metal, by how sure it is, and by what the rule asks.")),
)
NAMES = tuple(lesson.name for lesson in LESSONS)


def lesson_of(name):
    """The Lesson of that name. Raises InputError for a name that no lesson has."""
    return LESSONS[NAMES.index(require_known("lesson", name, NAMES))]


def lesson_after(name):
    """The Lesson that follows; None after the last one."""
    return dict(zip(NAMES, LESSONS[1:], strict=False)).get(name)


# ---- what there is to do in a lesson


@dataclass(frozen=True)
class Contents:
    """The names of what a lesson asks: its predictions, in the order of its module, and its tasks."""

    predictions: tuple[str, ...]
    tasks: tuple[str, ...]


def asks_for_a_prediction(begin):
    """Mark a function of a lesson that makes a bench and its question; returns it."""
    begin.asks = "prediction"
    return begin


def asks_for_a_task(on):
    """Mark a function of a lesson that makes a task; returns it."""
    on.asks = "task"
    return on


def contents_of(module):
    """What a lesson's module asks for, in the order in which it is written there.

    >>> from castlab.teach.lessons import first_casting
    >>> contents_of(first_casting).predictions
    ('begin', 'begin_sheave')
    """
    asked = {"prediction": [], "task": []}
    for name, made in vars(module).items():
        if getattr(made, "asks", None) in asked and made.__module__ == module.__name__:
            asked[made.asks].append(name)
    return Contents(tuple(asked["prediction"]), tuple(asked["task"]))


def lesson_named_in(dotted):
    """The Lesson whose module has this dotted name, and that module; None twice where it is no lesson's.

    >>> lesson_named_in("castlab.teach.read_defect.sawn_casting")
    (None, None)
    """
    found = re.fullmatch(r"castlab\.teach\.lessons\.(\w+)", dotted)
    if not found or found[1] not in NAMES:
        return None, None
    return lesson_of(found[1]), sys.modules[dotted]
