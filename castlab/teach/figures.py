"""The pictures of README and course, drawn again from the computation: `python -m castlab.teach.figures`."""

from pathlib import Path

from castlab.field import parts
from castlab.field.layout import Setup
from castlab.materials import alloy, mould
from castlab.teach.casting import solve
from castlab.teach.pictures import Scene, picture_of
from castlab.units import METRIC

FOLDER = Path(__file__).resolve().parents[2] / "figures"
SETUPS = {
    "eye_plate": (parts.eye_plate(), "ZA-12"),
    "eye_plate_fed": (parts.eye_plate(feeder_width=0.048, feeder_height=0.060), "ZA-12"),
    "sheave": (parts.sheave(), "ZA-12"),
    "sheave_fed": (parts.sheave(feeder_width=0.040, feeder_height=0.050), "ZA-12"),
}
POUR_C = 475.0


def draw(name):
    """Solve one of SETUPS; returns its Figure and its sentence.

    >>> figure, sentence = draw("eye_plate")
    >>> "boss" in sentence
    True
    """
    layout, metal = SETUPS[name]
    casting = solve(Setup(layout, alloy(metal), mould("green sand"), POUR_C))
    scene = Scene(casting.section, tuple(casting.labels(METRIC)))
    return picture_of(scene), casting.sentence(METRIC)


def main():
    """Draw all of them into the folder figures, and print what each says."""
    FOLDER.mkdir(exist_ok=True)
    for name in SETUPS:
        figure, sentence = draw(name)
        figure.savefig(FOLDER / f"{name}.png")
        print(f"{name}: {sentence}")


if __name__ == "__main__":
    main()
