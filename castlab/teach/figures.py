"""The pictures of README and course, drawn again from the computation: `python -m castlab.teach.figures`."""

from pathlib import Path

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from PIL import Image

from castlab.field import parts
from castlab.field.layout import Setup
from castlab.field.outcome import pour
from castlab.materials import alloy, mould
from castlab.teach import gallery
from castlab.teach.bench.casting import Casting, casting_scene
from castlab.teach.picture.picture import picture_of
from castlab.teach.trust import rule_beside_field as beside
from castlab.units import METRIC

FOLDER = Path(__file__).resolve().parents[2] / "figures"
SETUPS = {
    "eye_plate": (parts.eye_plate(), "ZA-12"),
    "eye_plate_fed": (parts.eye_plate(feeder_width=0.048, feeder_height=0.060), "ZA-12"),
    "sheave": (parts.sheave(), "ZA-12"),
    "sheave_fed": (parts.sheave(feeder_width=0.040, feeder_height=0.050), "ZA-12"),
}
POUR_C = 475.0
LYING = [(-1, -0.35), (1, -0.35), (1, 0.35), (-1, 0.35), (-1, -0.35)]  # the mark of a plate
MARKS = {"plate": LYING, "bar": "s", "cylinder": "o", "ball": "D"}
GREYS = dict(zip(beside.ALLOYS, ("white", "0.8", "0.6", "0.35", "black"), strict=True))
WITHIN = 0.15  # how near rule and field are asked to be, from outside
BANDS = {"bar": (0.59, 0.77), "cylinder": (0.59, 0.77), "ball": (0.51, 0.75)}  # of a plate's time, likewise
SHADE = "0.9"


def draw(name):
    """Solve one of SETUPS; returns its Figure and its sentence.

    >>> figure, sentence = draw("eye_plate")
    >>> "boss" in sentence
    True
    """
    layout, metal = SETUPS[name]
    casting = Casting(pour(Setup(layout, alloy(metal), mould("green sand"), POUR_C)))
    return picture_of(casting_scene(casting.setup, casting, METRIC)), casting.sentence(METRIC)


def draw_rule_beside_field(rows):
    """Rule against field for all of these pairs, and times over a plate's; (Figure, sentence)."""
    figure = Figure(figsize=(10.0, 5.0), dpi=150, facecolor="white", layout="constrained")
    FigureCanvasAgg(figure)
    times, ratios = figure.subplots(1, 2, width_ratios=(1.15, 1.0))
    _draw_times(times, rows)
    _draw_ratios(ratios, beside.ratios_to_plate(rows))
    near = sum(abs(row.rule_over_field - 1.0) <= WITHIN for row in rows)
    far = ", ".join(f"{row.shape} of {row.alloy} {100 * (row.rule_over_field - 1.0):+.0f} %" for row in rows
                    if abs(row.rule_over_field - 1.0) > WITHIN)
    return figure, f"{near} of {len(rows)} times by rule are within 15 % of the field; not: {far or 'none'}."


def _draw_times(axes, rows):
    """Each pair as a point; on the line rule and field agree."""
    ends = 0.8 * min(row.rule_s for row in rows), 1.25 * max(row.rule_s for row in rows)
    axes.fill_between(ends, *([(1.0 + share) * end for end in ends] for share in (-WITHIN, WITHIN)),
                      color=SHADE, lw=0)
    axes.plot(ends, ends, color="black", lw=1)
    for row in rows:
        axes.plot(row.field_s, row.rule_s, **_mark(row.shape, row.alloy))
    axes.set(xscale="log", yscale="log", xlim=ends, ylim=ends, xlabel="solid after, computed field [s]",
             ylabel="solid after, hand rule [s]", title="Modulus 10 mm, green sand; shaded: within 15 %")
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_ticks([100, 200, 300, 500], ["100", "200", "300", "500"])
        axis.set_ticks([], minor=True)
    shapes = [Line2D([], [], label=shape, **_mark(shape, "A356")) for shape in MARKS]
    alloys = [Line2D([], [], label=name, ls="", marker="o", ms=9, mfc=grey, mec="black")
              for name, grey in GREYS.items()]
    axes.legend(handles=shapes + alloys, ncols=2, loc="upper left", frameon=False)


def _draw_ratios(axes, ratios):
    """For each shape and alloy a line from what the rule says to what the field says, on the band asked."""
    for place, (shape, band) in enumerate(BANDS.items()):
        axes.fill_between((place - 0.42, place + 0.42), *band, color=SHADE, lw=0)
        for number, name in enumerate(GREYS):
            rule, field = ratios[name, shape]
            across = place + 0.16 * (number - 2)
            axes.plot([across, across], [rule, field], color="black", lw=1, zorder=1)
            axes.plot(across, rule, ls="", marker="_", ms=13, mec="black", mew=2)
            axes.plot(across, field, **_mark(shape, name))
    axes.set(xticks=range(len(BANDS)), xticklabels=[f"{each} / plate" for each in BANDS], ylim=(0.45, 1.0),
             ylabel="time over that of a plate", title="Same modulus; dash: rule, mark: field")


def _mark(shape, name):
    """Shape by the mark, alloy by its grey."""
    size = 15 if shape == "plate" else 9
    return {"ls": "", "marker": MARKS[shape], "ms": size, "mfc": GREYS[name], "mec": "black"}


def image_of(figure):
    """A Figure as pixels."""
    figure.canvas.draw()
    return Image.fromarray(np.asarray(figure.canvas.buffer_rgba())[:, :, :3].copy())


def main():
    """Draw all of them into the folder figures, and the gallery with its page; print what each says."""
    FOLDER.mkdir(exist_ok=True)
    drawings = {name: lambda name=name: draw(name) for name in SETUPS}
    drawings["rule_beside_field"] = lambda: draw_rule_beside_field(beside.pairs())
    for name, drawing in drawings.items():
        figure, sentence = drawing()
        gallery.save(image_of(figure), FOLDER / f"{name}.png", sentence)
        print(f"{name}: {sentence}")
    for name, sentences in gallery.write_all(FOLDER, gallery.PAIRS):
        print(f"{name}: {sentences}")


if __name__ == "__main__":
    main()
