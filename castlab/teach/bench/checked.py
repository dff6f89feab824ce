"""What a check found, and a prediction that was compared with the computation."""

from dataclasses import dataclass

from castlab.units import METRIC, Units


@dataclass(frozen=True)
class Checked:
    """What a check found: whether the answer is right, and why or why not."""

    right: bool
    why: str

    def __str__(self):
        return f"{'Right' if self.right else 'Not yet'}. {self.why}"


@dataclass(frozen=True)
class Prediction:
    """One recorded prediction: for which slider values, what was said, and what the computation says, in
    which units."""

    values: dict
    said: str
    checked: Checked
    units: Units = METRIC
