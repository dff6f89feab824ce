"""What a picture shows, before anybody draws it."""

from dataclasses import dataclass

from castlab.teach.picture import raster


@dataclass(frozen=True)
class Label:
    """Words in the picture and the place [m] that they point at, before or behind the section too.

    `strong` is for defects; `hollow` for what is drawn as a hollow, at which it points where that is near.
    """

    text: str
    place: tuple[float, ...]
    strong: bool = False
    hollow: bool = False


@dataclass(frozen=True, eq=False)
class Scene:
    """One state of the picture: the section, its labels, and whether it is greyed (out of date)."""

    section: raster.Section
    labels: tuple[Label, ...] = ()
    greyed: bool = False
