"""Where an instructor wishes for a bad casting, lets it be searched, adjusts it, and writes the exercise."""

from dataclasses import replace

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.field.holes import name_of
from castlab.field.own_part import OwnPart
from castlab.field.parts import PARTS, name_of_part
from castlab.field.shrinkage import DEFECTS
from castlab.materials import alloy, alloy_names
from castlab.teach.bad_examples import batch_sheet, hand_out, search_report, variants
from castlab.teach.bad_examples.search import find, has_it, prove
from castlab.teach.bad_examples.wanted_defect import WantedDefect, bench_sliders, blocks_of, broken
from castlab.teach.bench.controls import Span, control_of, in_columns, units_switch
from castlab.teach.bench.ready_made import bench_of
from castlab.teach.exercise.exercise import MARKS, Exercise
from castlab.teach.own_part.beside_bench import drawing_beside
from castlab.teach.own_part.from_file import bring_button, brought, saved_part
from castlab.teach.own_part.places_kept import with_places
from castlab.teach.sliders.part_sliders import FEEDING, MOULDS
from castlab.teach.sliders.slider import Slider
from castlab.teach.sliders.to_design import design_of
from castlab.teach.text import markup
from castlab.teach.text.reader_units import BOTH
from castlab.teach.work.progress import Work
from castlab.teach.work.shown import Shown, button, guarded, menu
from castlab.units import METRIC, celsius, joined, phrase, said

OFTEN = ("thickness", "thin", "boss", "hub", "post", "heavy", "rib", "feeder_width", "feeder_height",
         "gate_thickness", "pour_temp_c")  # what the search may change when nothing else is said
GIVEN = (
    Slider("size", "hole at least", "volume", "the hole", 3.0e-6, 0.1e-6, 30.0e-6, 0.1e-6),
    Slider("share", "and a share of the casting [%]", "number", "the hole", 0.0, 0.0, 10.0, 0.1),
    Slider("metal", "the pot holds", "mass", "limits", 2.0, 0.1, 10.0, 0.1),
    Slider("furnace", "hottest possible pour", "temperature", "limits", 1150.0, 400.0, 1750.0, 10.0),
    Slider("section", "least section", "length", "limits", 5e-3, 3e-3, 20e-3, 1e-3),
)
INTRO = "Say what the casting shall show, and press Search. Nothing is computed before that."
SEARCHING = ("The search tries settings on coarse cells, then proves one on finer cells. Its answer appears "
             "here.")
NOT_PROVED = "Press “Still robust?” first: only what has been proved as it stands is written."
NOT_SURE = ("the hole is there in {} of 8 pours; tick “also where it is not robust” to write it all the "
            "same, and the instructor's sheet will say so")
LIMITS = ("What is robust here is robust in this model: no flow, no mould movement, no gas. Pour one trial "
          "of your own before a class relies on it.")
WIDE, LABELS = {"width": "430px"}, {"description_width": "initial"}
ROW = {"flex_flow": "row wrap", "align_items": "center"}
PER_CENT = 1e-2


class BadBench(Shown):
    """The wish on top, the search with its bar, the bench of the part, the proof, and the writing.

    part     the part that stands there first, by its name or an OwnPart

    `bench` is the bench of the part chosen now, and `units` are its units and the form's; `wait()` is for
    tests and number cells.
    """

    def __init__(self, part="eye plate"):
        self._work, self.found, self.proof, self._proved = Work(), None, None, None
        self._material, self.units = None, METRIC
        self._build(part)
        self._part_chosen()

    # ---- what tests and number cells use

    @property
    def wish(self):
        """The wish as the menus and sliders say it. Raises InputError for one that makes no sense."""
        given = {name: control.value for name, control in self._given.items()}
        turn = tuple(name for name, (box, _) in self._turned.items() if box.value)
        if not turn:
            raise InputError("sliders that the search may change", "none", "tick at least one")
        ranges = tuple((name, *span.value) for name, (box, span) in self._turned.items()
                       if box.value and span is not None)
        return WantedDefect(
            self._part.value, self._alloy.value, self._mould.value, self._kind.value, self._block.value,
            size_m3=given["size"], share=given["share"] * PER_CENT, turn=turn, ranges=ranges,
            most_metal_kg=given["metal"], hottest_pour_c=given["furnace"], least_section_m=given["section"],
        )

    @property
    def words(self):
        """What is said now, as plain text."""
        return markup.plain(self._words.value)

    def choose(self, **chosen):
        """Set menus by name: part, alloy, mould, kind, block; sliders by name: size [m3], share [%], metal
        [kg], furnace [deg C], section [m]; `turn`: names of the sliders that the search may change."""
        menus = {"part": self._part, "alloy": self._alloy, "mould": self._mould, "kind": self._kind,
                 "block": self._block}
        for name, control in (menus | self._given).items():
            if name in chosen:
                control.value = chosen[name]
        if "turn" in chosen:
            for name, (box, _) in self._turned.items():
                box.value = name in chosen["turn"]
        return self

    def speak(self, units):
        """Show and say everything in these units: the form, its sentence, and the bench in it."""
        if units is self.units:
            return
        self.units = self._switch.value = units
        spans = (span for _, span in self._turned.values() if span is not None)
        for control in (*self._given.values(), *spans):
            control.speak(units)
        if self.bench.units is not units:
            self.bench.speak(units)
        self._say(self._said)

    def bring(self, name, data):
        """Take a part of one's own out of a file that was saved on its desk, and put it on the bench.

        Raises InputError for anything else.
        """
        part, words = with_places(saved_part(data))
        self._part.options = _named((*PARTS, part))
        self._part.value = part
        self._say(f"{name} is on the bench. {words}".strip())

    def search(self):
        """Search a setting for the wish; it is put on the bench when it is found."""
        try:
            wish = self.wish
        except InputError as error:
            self._say(phrase("This cannot be searched: {}.", error))
            return
        self._say(SEARCHING)
        self._work.start(find(wish, self._number.value), on_done=lambda found: self._show(wish, found))

    def check(self):
        """Prove once more what stands on the bench now."""
        values, wish = self.bench.values, self._wish_of_bench()
        if limits := broken(wish, values):
            self._say(phrase("Do not pour this: {}.", joined("; ", limits.values())))
            return
        self._say("It is poured eleven times. The answer appears here.")
        self._work.start(prove(wish, wish.design(values)),
                         on_done=lambda proof: self._show_proof(wish, values, proof))

    def stop(self):
        """End the search."""
        self._work.stop()

    def wait(self, timeout=None):
        """Wait for the search or the check to end; returns what it found."""
        return self._work.wait(timeout)

    def exercise(self):
        """The exercise of what stands on the bench. Raises InputError where it has not been proved so, and
        where it is not robust, unless that is allowed."""
        if self._proved != self.bench.values or not has_it(self._wish_of_bench(), self.proof.usual, 1.0):
            raise InputError("exercise", "not proved", NOT_PROVED)
        if not (self.proof.holds or self._unsure.value):
            raise InputError("exercise", "not robust", NOT_SURE.format(self.proof.held))
        values = dict(self.bench.values)
        metal, sand = values.pop("alloy"), values.pop("mould")
        return Exercise(self._title.value.strip(), self._part.value, metal, sand, values,
                        tuple(self._allowed.value), self._given["metal"].value,
                        {name: field.value for name, field in self._marks.items()})

    def write_batch(self, folder):
        """Write variants of the exercise into a folder, in the background: they are searched first."""
        exercise = self.exercise()

        def put_down(found):
            paths = batch_sheet.write_batch(found, folder, overwrite=self._overwrite.value)
            words = " ".join(batch_sheet.spread_words(found))
            self._say(f"Written into {folder}: {len(found.variants)} variants, and {paths[-1].name}. {words}")

        self._say("Variants are drawn and proved, each by a number of its own. Then the files are written.")
        plan = variants.batch(exercise, self._wish_of_bench(), self._count.value, self._number.value)
        self._work.start(plan, on_done=self._trying(put_down))

    def write(self, folder):
        """Write the exercise into a folder, in the background: its cures are searched first."""
        exercise = self.exercise()
        sure = search_report.proof_words(self._wish_of_bench(), self.proof, BOTH)

        def put_down(material):
            self._material = exercise, material
            paths = hand_out.write(exercise, folder, material, overwrite=self._overwrite.value)
            self._say(f"Written into {folder}: {', '.join(path.name for path in paths)}.")

        if self._material is not None and self._material[0] == exercise:
            self._trying(put_down)(self._material[1])  # its cures are known from the last time
            return
        self._say("Its cures are searched first, for the instructor's sheet. Then the files are written.")
        self._work.start(hand_out.prepare(exercise, sure), on_done=self._trying(put_down))

    def print_wish(self):
        """Print the wish and its limits, for a number cell."""
        wish = self.wish
        hole, units = search_report.wished_words(wish, None, self.units), self.units
        metal, top = units.mass(wish.most_metal_kg), units.temperature(wish.hottest_pour_c)
        section = units.length(wish.least_section_m)
        print(f"wish: {hole} of the {name_of_part(wish.part)}, {wish.alloy}, {wish.mould}")
        print(f"limits: {metal} of metal, {top} at the pour, no section below {section}")
        print(f"the search may change: {', '.join(slider.label for slider in wish.sliders)}")

    # ---- answers

    def _show(self, wish, found):
        self.found = found
        if found.values:
            if wish.part != self._part.value:
                self._part.value = wish.part
            self.bench.set(**found.values)
        if found.met:
            self.proof, self._proved = found.proof, self.bench.values
        self._say(lambda units: search_report.found_words(wish, found, units))

    def _show_proof(self, wish, values, proof):
        self.proof, self._proved = proof, values
        self._say(lambda units: f"On the bench is {search_report.hole_words(wish, proof.usual, units)}. "
                  f"{search_report.proof_words(wish, proof, units)}")

    def _wish_of_bench(self):
        """The wish, for the alloy and the mould that stand on the bench."""
        values, wish = self.bench.values, self.wish
        return replace(wish, alloy=values["alloy"], mould=values["mould"], turn=(), ranges=())

    def _say(self, words):
        """A text, a Phrase, or a function from units to words: it is said again when the units change."""
        self._said = words
        words = words(self.units) if callable(words) else said(words, self.units)
        self._words.value = markup.status(words, markup.TEXT + "; min-height:48px")

    # ---- widgets

    def _build(self, part):
        self._words, self._slot, self._rows = widgets.HTML(), widgets.VBox(), widgets.VBox()
        self._part = menu("part", _named(PARTS if part in PARTS else (*PARTS, part)), part)
        self._upload = bring_button(".json", self._guarded(lambda: self.bring(*brought(self._upload))))
        self._alloy = menu("alloy", alloy_names(), "ZA-12")
        self._mould = menu("mould", MOULDS, "green sand")
        self._kind = menu("kind of hole", [(name_of(kind), kind) for kind in DEFECTS], "sink")
        self._block = menu("where", blocks_of(part), blocks_of(part)[-1])
        self._given = {slider.name: control_of(slider) for slider in GIVEN}
        self._switch = units_switch(lambda units: self._guarded(lambda: self.speak(units))())
        self._number = widgets.BoundedIntText(1, 1, 999, description="seed", style=LABELS,
                                              layout={"width": "230px"})
        self._say(INTRO)
        self._build_writing()
        turning = widgets.Accordion([self._rows], selected_index=None)
        turning.set_title(0, "Sliders that the search may change, and how far")
        buttons = widgets.HBox([self._button("Search", self.search), self._number,
                                self._button("Still robust?", self.check)], layout=ROW)
        self.widget = widgets.VBox([
            self._switch, self._wish_box(), turning, buttons, self._work.widget, self._words, self._slot,
            widgets.HTML(markup.paragraph(LIMITS)), self._writing,
        ])

    def _wish_box(self):
        given = {name: control.row for name, control in self._given.items()}
        columns = {"the casting": [self._part, self._upload, self._alloy, self._mould],
                   "the hole": [self._kind, self._block, given["size"], given["share"]],
                   "limits": [given["metal"], given["furnace"], given["section"]]}
        for chosen, then in ((self._part, self._part_chosen), (self._alloy, self._metal_chosen),
                             (self._mould, self._fill_rows)):
            chosen.observe(self._guarded(then), "value")
        return in_columns(columns)

    def _build_writing(self):
        self._title = widgets.Text("A casting that shrinks", description="title", layout=WIDE)
        self._folder = widgets.Text("exercise", description="folder", layout=WIDE)
        self._allowed = widgets.SelectMultiple(description="students may change", rows=8, style=LABELS,
                                               layout=WIDE)
        self._overwrite = widgets.Checkbox(False, description="replace files that are there", indent=False)
        self._unsure = widgets.Checkbox(False, description="also where it is not robust", indent=False)
        self._marks = {name: widgets.BoundedFloatText(most, min=0.0, max=100.0, step=0.5, description=name,
                                                      style=LABELS, layout={"width": "110px"})
                       for name, most in MARKS.items()}
        marks = widgets.HBox([widgets.HTML("marks for"), *self._marks.values()], layout=ROW)
        self._count = widgets.BoundedIntText(12, 1, variants.MOST, description="variants", style=LABELS,
                                             layout={"width": "150px"})
        write = self._button("Write the exercise", lambda: self.write(self._folder.value))
        batch = self._button("Write a batch, one a student", lambda: self.write_batch(self._folder.value))
        heading = widgets.HTML("<b>write it for the class</b>")
        self._writing = widgets.VBox([
            heading, self._title, self._folder, self._allowed, marks, self._overwrite, self._unsure, write,
            widgets.HBox([self._count, batch], layout=ROW),
        ])

    def _trying(self, put_down):
        """What writes files, and says why where it cannot."""

        def tried(material):
            try:
                put_down(material)
            except (InputError, OSError) as error:
                self._say(phrase("Nothing was written: {}.", error))

        return tried

    def _part_chosen(self):
        """Another part has another bench, other blocks and other sliders."""
        part = self._part.value
        self._block.options = blocks_of(part)
        self._block.value = blocks_of(part)[-1]
        sliders = bench_sliders(part, self._alloy.value, self._mould.value)
        self.bench = bench_of(sliders, lambda values: design_of(part, values).setup(),
                              drawing_of=drawing_beside(part))
        self.bench.speak(self.units)
        self.bench.when_moved(lambda: self.speak(self.bench.units))
        self._slot.children = (self.bench.widget,)
        self.found = self.proof = self._proved = None
        self._turned = {}
        self._fill_rows()

    def _metal_chosen(self):
        """Another alloy is poured at other temperatures, perhaps hotter than the furnace can give."""
        low, _ = alloy(self._alloy.value).pour_range_c
        if self._given["furnace"].value < low:
            self._say(phrase("{} is poured from {} on: more than the furnace gives.", self._alloy.value,
                             celsius(low)))
        self._fill_rows()

    def _fill_rows(self):
        """A tick and a range for each slider of the part."""
        before = {name for name, (box, _) in self._turned.items() if box.value}
        sliders = [slider for slider in bench_sliders(self._part.value, self._alloy.value, self._mould.value)
                   if slider.name not in ("alloy", "mould")]
        names = {slider.name for slider in sliders}
        ticked = before & names or set(OFTEN) | {slider.name for slider in sliders if slider.group == FEEDING
                                                 and isinstance(self._part.value, OwnPart)}
        self._turned = {slider.name: (widgets.Checkbox(slider.name in ticked, description=slider.label,
                                                       indent=False, layout={"width": "250px"}),
                                      None if slider.kind == "choice" else Span(slider, self.units))
                        for slider in sliders}
        self._rows.children = [widgets.HBox([box, *([span.widget.row] if span else [])], layout=ROW)
                               for box, span in self._turned.values()]
        names = [(slider.label, slider.name) for slider in sliders]
        self._allowed.options = names
        self._allowed.value = [slider.name for slider in sliders if slider.group == FEEDING]

    def _button(self, words, action):
        return button(words, self._guarded(action), "max-content")

    def _guarded(self, action):
        """Bad input is said in words; any other error is shown, and raised for tests to see."""

        def tried():
            try:
                action()
            except (InputError, OSError) as error:
                self._say(phrase("{}", error))

        return guarded(tried, self._words)


def _named(parts):
    """Options of a menu of parts, by name or one's own."""
    return [(name_of_part(part), part) for part in parts]
