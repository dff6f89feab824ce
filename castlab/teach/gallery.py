"""The gallery: each defect and each cure, before and after side by side, and a page with their sentences.

Everything is set on a bench's sliders and computed; `python -m castlab.teach.figures` draws it again. Each
picture carries its own sentences, so that page and pictures can be compared without computing them.
"""

import io
import textwrap
from dataclasses import dataclass, field
from html import unescape

from PIL import Image, ImageDraw, PngImagePlugin

from castlab.field.outcome import pour
from castlab.teach.bench.casting import Casting, casting_scene
from castlab.teach.lessons import superheat_and_filling as filling_lesson
from castlab.teach.picture import raster
from castlab.teach.picture.picture import COLUMN, WIDTH, Picture, font
from castlab.teach.sliders.to_design import design_of, sliders_for, sliders_of_part
from castlab.teach.text import markup
from castlab.units import INCH_POUND, METRIC

PAGE = "GALLERY.md"
DEFECT, CURE = "Defects", "Cures"
THIN_PLATE = "thin eye plate"  # the bench of lesson 7, whose rule says whether the mould fills
ROOM, GAP = WIDTH - COLUMN, 14  # pixels for one section, and between the two
LINE = 26  # pixels from line to line of the words above and below a section
TITLE_PIXELS, TITLE_CHARACTERS = 21, 52
TEXT_PIXELS, TEXT_CHARACTERS = 18, 70
COLOURS = 96  # of the stored picture
NEEDS = {"feeder_height": "feeder_width", "feeder_place": "feeder_width",
         "sleeve": "sleeve_thickness", "chill": "chill_thickness"}
OPENING = """# Gallery: defects and cures, before and after

Each picture shows a casting cut open, twice: left before, right after a change. Colours say when each place
froze, dark early and bright late. Red lines show where metal is missing: slanted a sink, crossed a cavity,
dots sponge, upright a pipe that reaches into the casting. Grey lines show a harmless pipe. The sentences
under each picture say the same in words; they are computed, like the picture. You can set the same sliders on
a bench. The words are explained in the [glossary](../notebooks/lessons/GLOSSARY.md).

Properties of metal and mould are known to 10 to 20 %, so trust where and why, and sizes only roughly. The
predictions are for teaching and planning, never for a load-bearing or safety part.
"""


@dataclass(frozen=True)
class Pair:
    """A casting before and after a change.

    `both`, `before`, `after`: where sliders stand, by name, in metres, words or deg C; all others stand where
    the bench of that part has them at first. `sound`: whether the change is meant to make it sound.
    """

    name: str
    group: str
    title: str
    why: str
    before: dict = field(default_factory=dict)
    after: dict = field(default_factory=dict)
    both: dict = field(default_factory=dict)
    part: str = "eye plate"
    metal: str = "ZA-12"
    sound: bool = True

    @property
    def file(self):
        """Name of its file in the folder of pictures."""
        return f"gallery_{self.name}.png"


FED = {"feeder_width": 0.044, "feeder_height": 0.060}


def sliders_of(pair):
    """The sliders of the bench on which a pair can be set, by name."""
    if pair.part == THIN_PLATE:
        sliders = filling_lesson.sliders()
    else:
        names = (slider.name for slider in sliders_of_part(pair.part))
        sliders = sliders_for(pair.part, *names, metal=pair.metal)
    return {slider.name: slider for slider in sliders}


def cast(pair, change):
    """One side of a pair, computed; `change` is pair.before or pair.after."""
    values = {name: slider.value for name, slider in sliders_of(pair).items()} | pair.both | change
    if pair.part == THIN_PLATE:
        return Casting(pour(filling_lesson.setup_of(values)))
    return Casting(pour(design_of(pair.part, values)))


def said_of(pair, side):
    """What the bench of a pair says of one side, and what its picture shows: (sentence, scene)."""
    if pair.part == THIN_PLATE:
        return filling_lesson.sentence(side, METRIC), filling_lesson.scene(side.setup, side, METRIC)
    return side.sentence(METRIC), casting_scene(side.setup, side, METRIC)


def settings(pair, change, units):
    """In words, where the sliders stand that differ between before and after."""
    return _said(pair, change, [name for name in {**pair.before, **pair.after}], units)


def _said(pair, change, names, units):
    sliders, words = sliders_of(pair), []
    values = {name: change.get(name, pair.both.get(name, slider.value)) for name, slider in sliders.items()}
    for name in names:
        needed = NEEDS.get(name)
        if needed and not values.get(needed):
            continue  # the height of no feeder
        words.append(_setting(sliders[name], values[name], units))
    return ", ".join(words)


def _setting(slider, value, units):
    if slider.kind == "length":
        return f"{slider.label} {units.length(value)}" if value else f"no {slider.label.split()[0]}"
    if slider.kind == "temperature":
        return f"poured at {units.temperature(value)}"
    return str(value) if slider.name in ("chill", "sleeve") else f"{slider.label}: {value}"


def draw(pair):
    """A pair as a picture; (Image, sentence before, sentence after)."""
    changes = pair.before, pair.after
    sides = [cast(pair, change) for change in changes]
    sentences, scenes = zip(*(said_of(pair, side) for side in sides), strict=True)
    low, high = raster.bounds([side.setup.layout for side in sides])
    titles = [textwrap.wrap(f"{when}: {settings(pair, change, METRIC)}", TITLE_CHARACTERS)
              for when, change in zip(("Before", "After"), changes, strict=True)]
    words = [textwrap.wrap(unescape(markup.safe(each)), TEXT_CHARACTERS) for each in sentences]
    return _sheet(titles, [_frame(scene, low, high) for scene in scenes], words), *sentences


def _sheet(titles, frames, words):
    """Two sections side by side, their titles above and their words below."""
    head, foot = (max(map(len, lines)) * LINE + 12 for lines in (titles, words))
    end = head + max(frame.height for frame in frames)  # the air above each mould is cut off
    image = Image.new("RGB", (2 * ROOM + GAP + COLUMN, end + foot), "white")
    image.paste(frames[0].crop((0, 0, ROOM, frames[0].height)), (0, end - frames[0].height))
    image.paste(frames[1], (ROOM + GAP, end - frames[1].height))
    draw = ImageDraw.Draw(image)
    for left, title, sentence in zip((8, ROOM + GAP + 8), titles, words, strict=True):
        _write(draw, left, 6, title, font(TITLE_PIXELS, True))
        _write(draw, left, end + 2, sentence, font(TEXT_PIXELS, False))
    return image


def _write(draw, left, top, lines, letters):
    for row, line in enumerate(lines):
        draw.text((left, top + row * LINE), line, fill=raster.INK, font=letters)


def _frame(scene, low, high):
    return Image.open(io.BytesIO(Picture(low, high).show(scene).png()))


def save(image, path, description):
    """Write a picture as PNG, with few colours so that it stays small, and with its description inside."""
    words = PngImagePlugin.PngInfo()
    words.add_itxt("Description", description)
    few = image.quantize(COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    few.save(path, "PNG", optimize=True, pnginfo=words)


def description(before, after):
    """The words that stand in place of a picture."""
    return f"Before: {before} After: {after}"


def section_of(pair, before, after):
    """The section of the page about one pair."""
    where = [settings(pair, change, METRIC) + _in_inches(pair, change)
             for change in (pair.before, pair.after)]
    return "\n".join((
        f"### {pair.title}", "", pair.why, "",
        f"![{pair.title}, before and after; the sentences follow]({pair.file})", "",
        _fixed(pair), "",
        f"- **Before** ({where[0]}): {before}",
        f"- **After** ({where[1]}): {after}", ""))


def _in_inches(pair, change):
    metric, inch = (settings(pair, change, units) for units in (METRIC, INCH_POUND))
    return "" if metric == inch else f"; that is {inch}"


def _fixed(pair):
    """Part, alloy, pour and what else stands the same on both sides."""
    names = list(pair.both) if "pour_temp_c" in {**pair.both, **pair.before} else ["pour_temp_c", *pair.both]
    values = pair.after | pair.both
    metric, inch = (_said(pair, values, names, units) for units in (METRIC, INCH_POUND))
    same = f", {metric}; that is {inch}" if metric else ""
    return f"*{pair.part[0].upper()}{pair.part[1:]}, {pair.metal}, green sand{same}.*"


def write_all(folder, pairs):
    """Draw these pairs into a folder, write the page, and yield name and words of each."""
    sections = {DEFECT: [], CURE: []}
    for pair in pairs:
        image, before, after = draw(pair)
        save(image, folder / pair.file, description(before, after))
        sections[pair.group].append(section_of(pair, before, after))
        yield pair.name, description(before, after)
    body = "\n".join(f"## {group}\n\n" + "\n".join(written) for group, written in sections.items())
    (folder / PAGE).write_text(f"{OPENING}\n{body}", encoding="utf-8")


# ---- what is shown


PAIRS = (
    Pair("sink", DEFECT, "A sink, and a feeder that cures it",
         "The heavy end freezes last and gives its liquid to the rest. Nobody gives to it, so its top "
         "sinks in. A feeder that stays liquid longer pays instead; the pipe in it is harmless, for the "
         "feeder is cut off.",
         {"feeder_width": 0.0}, FED),
    Pair("cavity", DEFECT, "A shrinkage cavity, shut in by a chill",
         "Thick steel under the heavy end freezes it so soon that the plate behind it is cut off while it is "
         "still liquid. No air comes in there, so the hole is inside, where nobody sees it without a saw.",
         {"chill_thickness": 0.020, "chill": "steel chill"}, {"chill_thickness": 0.0},
         {"thickness": 0.024, "feeder_width": 0.036, "feeder_height": 0.060}),
    Pair("sponge", DEFECT, "Sponge in a long thin plate of tin bronze",
         "Tin bronze freezes as mush. In the middle of a long plate the temperature is so even that liquid "
         "would have to travel far between crystals. The feeder is large enough and cannot help; a shorter "
         "way can.",
         {"length": 0.160}, {"length": 0.060}, {"thickness": 0.008, "feeder_width": 0.048},
         metal="tin bronze"),
    Pair("pipe", DEFECT, "A pipe that reaches into the casting",
         "A pipe in a feeder is harmless. This feeder stays liquid long enough, thanks to its sleeve, but "
         "it holds too little: it runs empty, and the pipe goes on into the casting. More height is more "
         "metal to give.",
         {"feeder_height": 0.020}, {"feeder_height": 0.060},
         {"turn": "upside down", "feeder_width": 0.024, "sleeve_thickness": 0.016}, part="bollard cap"),
    Pair("misrun", DEFECT, "A misrun, by the rule: the thin plate does not fill",
         "No flow is computed here: that the metal stops, and where, is a rule of thumb. A wider gate and a "
         "higher sprue bring more metal in a second. The feeder is on both sides.",
         {"gate_width": 0.006, "sprue_height": 0.060}, {"gate_width": 0.040, "sprue_height": 0.100},
         {"thickness": 0.003, "pour_temp_c": 480.0, "feeder_width": 0.028}, part=THIN_PLATE),
    Pair("marginal", DEFECT, "Marginal: so near the edge that the data decide",
         "A small hole that a slightly better mould or alloy would close. Nobody knows properties well "
         "enough to promise that. A feeder a little wider moves away from the edge.",
         {"feeder_width": 0.024}, {"feeder_width": 0.030}, {"feeder_height": 0.040}),
    Pair("squat", CURE, "A squat feeder instead of a tall one",
         "A tall narrow feeder has much surface for its volume and freezes with the casting. The same "
         "metal, or less, in a squat one stays liquid longer.",
         {"feeder_width": 0.022, "feeder_height": 0.080}, {"feeder_width": 0.030, "feeder_height": 0.040}),
    Pair("sleeve", CURE, "A sleeve keeps the heat in the feeder",
         "A ring of insulating material takes less heat than sand does. So a small feeder stays liquid as "
         "long as a large one, and less metal is melted again.",
         {"sleeve_thickness": 0.0}, {"sleeve_thickness": 0.008},
         {"feeder_width": 0.022, "feeder_height": 0.040}),
    Pair("side", CURE, "A feeder at the side",
         "Where nothing can stand on top, a feeder can stand beside the heavy end and pay through its "
         "foot. It must be taller than the metal that it feeds.",
         {"feeder_width": 0.0}, FED | {"feeder_place": "at the side"}),
    Pair("neck", CURE, "A neck that stays open",
         "A narrow neck is easy to cut off. But it freezes early, and then the best feeder is shut off "
         "from the casting. A wider one is the last thing but the feeder to freeze.",
         {"neck_width": 0.004}, {"neck_width": 0.012}, FED, metal="fine silver"),
    Pair("gate", CURE, "The gate into the heavy end",
         "A thin gate at the thin end is solid early. A thick gate into the heavy end, with a sprue as "
         "thick, stays liquid longest and pays like a feeder. It also holds nearly as much metal as one.",
         {"gate_place": "thin end", "gate_thickness": 0.004},
         {"gate_place": "heavy end", "gate_thickness": 0.030},
         {"boss": 0.036}, metal="A356"),
    Pair("core", CURE, "A core: less metal asks for less",
         "The hole for the rope is cast instead of drilled. Where the core lies there is no metal, so the "
         "heavy end is less heavy. Less is missing, but not nothing.",
         {"core": 0.0}, {"core": 0.024}, sound=False),
    Pair("rib", CURE, "A thinner rib makes no hot spot",
         "Where a thick rib meets the base there is more metal than anywhere near it. A rib of about half "
         "the base's thickness freezes early. What is left is the corner of the wall, which needs a "
         "feeder.",
         {"rib": 0.014}, {"rib": 0.005}, {"wall": 0.010}, part="bracket", sound=False),
    Pair("chill", CURE, "A chill helps a small feeder",
         "Steel under the heavy end takes heat faster than sand. The heavy end is solid sooner, and a "
         "feeder that was too small is now the last to freeze.",
         {"chill_thickness": 0.0}, {"chill_thickness": 0.012},
         {"feeder_width": 0.022, "feeder_height": 0.060}),
    Pair("big_chill", CURE, "A chill that is too large, and one that is right",
         "Thick copper freezes the heavy end so soon that the way from the feeder to the plate is shut. "
         "Now the plate shrinks, where nothing was wrong before. A smaller chill of steel leaves the way "
         "open.",
         {"chill_thickness": 0.040, "chill": "copper chill"},
         {"chill_thickness": 0.008, "chill": "steel chill"},
         {"thickness": 0.016, "feeder_width": 0.030, "feeder_height": 0.060}),
    Pair("way_up", CURE, "Another orientation moves the hole",
         "Liquid runs down, so the hole opens at the highest place that is still liquid. As drawn, rib and "
         "wall each have one. Upside down the base lies on top and has them. Turned, not cured: choose the "
         "place where a feeder can stand, or where a hole does no harm.",
         {"turn": "as drawn"}, {"turn": "upside down"}, part="bracket", sound=False),
    Pair("cooler", CURE, "A cooler pour asks for a little less",
         "Liquid metal shrinks while it cools to where it begins to freeze. Poured cooler it asks for "
         "less, and is solid sooner. The hole is smaller, not gone; and metal that is too cold does not "
         "fill the mould.",
         {"pour_temp_c": 500.0}, {"pour_temp_c": 450.0}, sound=False),
)
