"""What a picture shows, before anybody draws it."""

from dataclasses import dataclass

from castlab.teach.picture import raster


@dataclass(frozen=True)
class Label:
    """Words in the picture and the place [m] that they point at, before or behind the section too.

    strong   for defects
    kind     of a void that the section shows there, as `raster` has them: the label points at what is drawn
             of it. Where nothing is, a defect gets a mark at its place, and any other label is left out
    off      for a defect that lies before or behind the section: its place gets a dashed ring
    """

    text: str
    place: tuple[float, ...]
    strong: bool = False
    kind: int | None = None
    off: bool = False


@dataclass(frozen=True, eq=False)
class Scene:
    """One state of the picture: the section, its labels, and whether it is greyed (out of date)."""

    section: raster.Section
    labels: tuple[Label, ...] = ()
    greyed: bool = False
