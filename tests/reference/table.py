"""All checks against reference libraries, as a table: python tests/reference/table.py (or python -m ...).

Needs `tests/reference/requirements.txt`. Values in the data file's units.
"""

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parent)]

import of_alloys  # noqa: E402
import of_elements  # noqa: E402
import of_sensor  # noqa: E402
from check import missing  # noqa: E402

CHECKS = tuple(of_elements.CHECKS + of_sensor.CHECKS + of_alloys.CHECKS)


def row(check):
    """One check as a line of text."""
    if missing(check.modules):
        return f"{check.alloy:16s} {check.what:42s} not installed: {', '.join(missing(check.modules))}"
    ours, reference = check.ours(), check.reference()
    band, apart = check.band(reference), ours - reference
    word = "explained in the data" if check.explained else ("" if abs(apart) <= band else "BEYOND THE BAND")
    return (f"{check.alloy:16s} {check.what:42s} {check.by:32s} {reference:10.5g} {ours:10.5g} "
            f"{apart:+10.3g} {band:9.2g} {check.unit:8s} {word}").rstrip()


def main():
    print(f"{'alloy':16s} {'what':42s} {'reference':32s} {'theirs':>10s} {'ours':>10s} {'apart':>10s} "
          f"{'band':>9s}")
    for check in CHECKS:
        print(row(check))


if __name__ == "__main__":
    main()
