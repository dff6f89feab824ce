"""A casting that lies sawn through on the table: look at it, ask for evidence, say the cause, then cure it.

The bench shows no more than the saw does until the cause has been said; then its sliders appear.
"""

from dataclasses import replace

import ipywidgets as widgets
import numpy as np

from castlab.errors import InputError
from castlab.field.outcome import pour
from castlab.field.own_part import OwnPart
from castlab.field.parts import name_of_part
from castlab.teach.bench.bench import Bench
from castlab.teach.bench.casting import Casting, casting_scene
from castlab.teach.bench.controls import image
from castlab.teach.bench.questions import Question
from castlab.teach.course.record import CastingRead, OnTheTable
from castlab.teach.own_part.beside_bench import drawing_beside
from castlab.teach.picture import raster
from castlab.teach.picture.picture import WIDTH, Picture
from castlab.teach.read_defect.evidence import PIECES, reading, sawn_scene, sawn_words
from castlab.teach.read_defect.hidden_castings import (
    LARGEST_NUMBER,
    MOST_DRAWS,
    draw,
    drawing,
    drawn_before,
    number_of,
    ranges_of,
    setup_from,
)
from castlab.teach.read_defect.wrong_causes import slips
from castlab.teach.sliders.part_sliders import PART, RIGGING, metal_sliders
from castlab.teach.sliders.slider import Slider
from castlab.teach.sliders.to_design import mould_follows, pouring_follows_alloy
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.progress import Work
from castlab.teach.work.shown import Shown

QUESTION = """Why does this casting have its hole? Ask for evidence above until you are sure, but for no more
than you need. Look at the largest hole."""
CHOICES = {
    "no feeder": "it has no feeder, and nothing beside or above it is liquid long enough",
    "freezes first": "the feeder is solid before it, and then has nothing to give",
    "runs empty": "the feeder stays liquid, but holds too little metal and runs empty",
    "way closes": "the feeder is liquid and full enough, but the feed path from it freezes too early",
    "uphill": "it lies higher than the metal in the feeder, and metal does not run uphill",
    "even": "the temperature is so even that liquid cannot travel between the crystals",
    "none": "there is nothing wrong with it: it is sound",
}
LOOKED_FOR = "Another casting is looked for. Until it is found, and after Stop, this one stays on the table."
CURE_LOOKED_FOR = "It lies there as you left it. Meanwhile its cure is computed again, for the tasks below."
LINE = f"font-size:16px; line-height:1.4; {markup.WIDTH}"
FEEDING_NAMES = ("feeder_width", "feeder_height", "neck_width", "sleeve_thickness", "chill_thickness")
WIDEST = "width of the widest feeder"
ROOM = 0.2  # margin round the sawn casting, for labels
OWN_SLIDERS = (("thickness", "section thickness", 1e-3), ("heavy", "heavy-end size", 2e-3))
NARROWEST = 2e-3  # [m] the neck's slider needs a range even without a feeder


class SawnCasting(Shown):
    """What lies on the table; `bench`, its bench; `question`, which asks for the cause.

    hidden   the casting that lies there first (see `hidden_castings.draw`); where it is of a part of one's
             own, all others are of that part too
    """

    def __init__(self, hidden):
        self.hidden, self.readings, self.evidence = hidden, [], {}
        self._own = hidden.part if isinstance(hidden.part, OwnPart) else None
        self._seen = set()  # numbers whose cause is known by now
        self._listeners = []
        self._work = Work()
        self._units, self.casting = None, Casting(pour(self.hidden))
        follows = {"alloy": pouring_follows_alloy, "mould": mould_follows, "feeder_width": _neck_follows}
        self.bench = Bench(_sliders(self.hidden), self._setup_of, follows=follows, scene_of=self._scene_of,
                           drawing_of=drawing_beside(hidden.part), hidden=True)
        self._build()
        self.question = Question(self.bench, QUESTION, CHOICES, judge, slips)
        self.bench.when_revealed(self._revealed)
        self._lay_out()

    @property
    def cause(self):
        """A key of CAUSES. Only tests and the answers ask for it."""
        return self.hidden.cause

    @property
    def cure(self):
        """Changes of the sliders that make it sound; computed now where that is not known yet."""
        if not self.hidden.cure:
            self.hidden = replace(self.hidden, cure=draw(self.hidden.number).cure)
        return self.hidden.cure

    @property
    def words(self):
        """All that stands beside the picture, as plain text."""
        return markup.plain(self._words.value)

    def take(self, number):
        """Put the casting of that number on the table, and wait until it is found.

        Raises InputError for what is no such number.
        """
        self._put(draw(number, self._own))

    def look_for(self, number, then=lambda: None):
        """The same, but behind the bench, with a bar; until it is found the former casting stays. `then()` is
        called as soon as it lies there."""
        found = number_of(number)
        self._said.value = markup.status(LOOKED_FOR, LINE)
        self._work.start(drawing(found, self._own), on_done=lambda hidden: (self._put(hidden), then()))

    def stop(self):
        """Look no further; the casting on the table stays."""
        self._work.stop()

    def wait(self, timeout=None):
        """Wait until the casting that is looked for lies on the table, or nobody looks for it any more."""
        self._work.wait(timeout)

    # ---- for the record of the course

    @property
    def stands(self):
        """What lies on the table and was asked for, and what was read so far: an OnTheTable."""
        hidden = self.hidden
        return OnTheTable(hidden.number, tuple(self.evidence), tuple(self.readings), hidden.draws)

    def when_changed(self, listener):
        """Call `listener()` after each piece of evidence, and when a casting was put on the table or read."""
        self._listeners.append(listener)

    def take_back(self, stood, then):
        """Go on from an earlier day with what lay on the table; `then()` is called as soon as it lies there.

        Where it is known how often it was drawn that is at once, and its cure is looked for behind the bench;
        else the casting itself is. Raises InputError for a number that no casting has.
        """
        self.readings, self._seen = list(stood.read), {each.number for each in stood.read}

        def ask_again():
            for key in stood.evidence:
                if key in PIECES:
                    self.ask(key)
            then()

        if stood.number == self.hidden.number:
            ask_again()
        elif not self._own and 0 < stood.draws <= MOST_DRAWS:
            self._put(drawn_before(stood.number, stood.draws))
            ask_again()
            self._said.value = markup.status(CURE_LOOKED_FOR, LINE)
            self._work.start(drawing(stood.number), on_done=self._know_the_cure)
        else:
            self.look_for(stood.number, ask_again)

    def _know_the_cure(self, hidden):
        """The same number drawn again; where castlab has changed since, it may be another casting."""
        self._said.value = ""
        if replace(hidden, cure={}) == replace(self.hidden, cure={}):
            self.hidden = hidden
        else:
            self._put(hidden)

    def _tell(self):
        for listener in self._listeners:
            listener()

    def _put(self, hidden):
        self._said.value = ""
        self.question.again()
        self.hidden, self.evidence = hidden, {}
        self.casting = Casting(pour(hidden))
        stands = {name: hidden.values[name] for name in self.bench.controls}
        self.bench.take_up(ranges_of(hidden.part), stands)
        self._lay_out()
        self._tell()

    def ask(self, key):
        """Ask for one piece of evidence, by its key in PIECES; what was asked before costs nothing more."""
        piece = PIECES[key]
        if key not in self.evidence:
            self.evidence[key] = piece.words(self.bench, self.hidden, self.casting, self.bench.units)
        self._write()
        if piece.scene is not None:
            self._shown = piece.scene
        self._show()
        self._tell()
        return self.evidence[key]

    # ---- for the bench

    def _setup_of(self, values):
        return setup_from(self.hidden.part, self.hidden.fixed, values)

    def _scene_of(self, setup, result, units):
        """Before the cause is said, what the saw shows; it also tells when the units are changed."""
        if self._units not in (None, units):
            self._speak(units)
        return casting_scene(setup, result, units) if result is not None else sawn_scene(self.casting, units)

    def _speak(self, units):
        self._units = units
        pieces = {key: PIECES[key] for key in self.evidence}
        self.evidence = {key: piece.words(self.bench, self.hidden, self.casting, units)
                         for key, piece in pieces.items()}
        self._write()
        self._show()

    def _revealed(self):
        self.bench.sliders.layout.display = ""
        number = self.hidden.number
        if self.question.answered and number not in self._seen:
            right = self.question.record[-1].checked.right
            self.readings.append(CastingRead(number, len(self.evidence), right))
            self._write()
        self._seen.add(number)
        self._tell()

    # ---- widgets

    def _lay_out(self):
        """A new casting on the table: no evidence, no sliders."""
        self.bench.sliders.layout.display = "none"
        self._shown, self._units = sawn_scene, self.bench.units
        self._number.value = str(self.hidden.number)
        self._write()
        self._show()

    def _show(self):
        scene = self._shown(self.casting, self._units)
        picture = Picture(*raster.bounds([scene.section.layout], margin=ROOM), self._units)
        self._image.value = picture.show(scene).png()

    def _write(self):
        units, hidden = self._units, self.hidden
        name = name_of_part(hidden.part)
        article = "your" if self._own else "an" if name[0] in "aeiou" else "a"
        poured = (f"Casting number {hidden.number}: {article} {name}, {hidden.values['alloy']} in "
                  f"{hidden.values['mould']}. Gate, sprue and feeder, if it had one, were cut off.")
        lines = [poured, sawn_words(self.casting, units),
                 *(f"Evidence {count}: {words}" for count, words in enumerate(self.evidence.values(), 1))]
        if self.readings:
            right = sum(each.right for each in self.readings)
            lines.append(f"Castings read so far: {len(self.readings)}, right: {right}.")
        self._words.value = "".join(markup.status(line, LINE) for line in lines)

    def _build(self):
        self._image = image(WIDTH)
        self._words, self._said = widgets.HTML(), widgets.HTML()
        self._number = widgets.Text(description="number of the casting", layout={"width": "260px"},
                                    style={"description_width": "initial"})
        rows = [widgets.HTML(markup.paragraph("Ask for evidence. Each piece is counted.")),
                self._row({"look at the sawn face again": self._back,
                           **{PIECES[key].button: lambda key=key: self.ask(key) for key in PIECES}}),
                self._row({"another casting": self._another, "the casting of this number": self._of_number},
                          self._number)]
        self._words.layout.flex = "1 1 360px"  # beside the picture where there is room, else below it
        face = widgets.HBox([self._image, self._words], layout={"flex_flow": "row wrap"})
        self.widget = widgets.VBox([face, *rows, self._work.widget, self._said])

    def _row(self, actions, *more):
        buttons = [self.bench.button(words, action) for words, action in actions.items()]
        return widgets.HBox([*buttons, *more], layout={"flex_flow": "row wrap"})

    def _back(self):
        self._shown = sawn_scene
        self._show()

    def _another(self):
        self.look_for(int(np.random.default_rng().integers(1, LARGEST_NUMBER + 1)))

    def _of_number(self):
        typed = self._number.value.strip()
        try:
            self.look_for(int(typed) if typed.isdecimal() else typed)
        except InputError as error:
            self._said.value = markup.status(sentence_of(error, self.bench.units), LINE)


def judge(result, units):
    """The cause, and what the evidence says."""
    if result.sound:
        return "none", result.sentence(units)
    return result.diagnosis.cause, reading(result, units)


def _sliders(hidden):
    """The sliders of the bench, standing as the casting was made."""
    values, ranges = hidden.values, ranges_of(hidden.part)
    own = [Slider(name, label, "length", PART, values[name], *ranges[name], step)
           for name, label, step in OWN_SLIDERS if name in ranges]
    known = {slider.name: slider for slider in RIGGING}
    if isinstance(hidden.part, OwnPart):
        known["feeder_width"] = replace(known["feeder_width"], label=WIDEST)
    feeding = [_standing(known[name], values) for name in FEEDING_NAMES if name in values]
    metals = metal_sliders(values["alloy"], values["mould"])
    return [*own, *(_standing(slider, values) for slider in metals), *feeding]


def _standing(slider, values):
    most = max(values["feeder_width"], NARROWEST) if slider.name == "neck_width" else slider.high
    return replace(slider, value=values[slider.name], high=most)


def _neck_follows(values):
    """A neck is never wider than its feeder; 0 is the whole foot."""
    most = max(values["feeder_width"], NARROWEST)
    return {"neck_width": (0.0, most, min(values["neck_width"], most))}
