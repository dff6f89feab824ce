"""Random settings of every part through its bench, kept to compare one state of the repository with another.

    python tests/whole/random_settings.py record FILE [count]
    python tests/whole/random_settings.py compare OLD NEW

What is kept of each: sliders, sentence and numbers in both units, a hash of the picture, and for a casting
that is not sound its largest hole and the causes that it can be put down to. Settings that cannot be cast are
kept once with their reason; then others are drawn until one can.
"""

import hashlib
import json
import sys

import numpy as np

from castlab.errors import InputError
from castlab.field.parts import PARTS
from castlab.teach.bench.ready_made import bench_for
from castlab.units import INCH_POUND, METRIC

SEED, COUNT, TRIES = 20261130, 300, 40
EXTRAS = ("core", "chill_thickness", "sleeve_thickness", "fillet", "taper", "neck_width", "gate_thickness",
          "turn")
SAID_BY_ALL = ("values", "inch", "metric", "picture")


def draw(bench, rng):
    """Values of all sliders; half of the time each of the extras is left away."""
    values = {}
    for name in ("alloy", "mould"):
        options = bench.controls[name].slider.options
        values[name] = options[rng.integers(len(options))]
    bench._move(values)
    for name, control in bench.controls.items():
        if name in ("alloy", "mould"):
            continue
        slider = control.slider
        if slider.kind == "choice":
            values[name] = slider.options[rng.integers(len(slider.options))]
        else:
            steps = int((control.high - control.low) / slider.step + 1e-6)
            values[name] = control._on_step(control.low + slider.step * int(rng.integers(steps + 1)))
        if name in EXTRAS and rng.random() < 0.5:
            values[name] = slider.options[0] if slider.kind == "choice" else control.low
    return values


def said_by(bench):
    """What the bench says and shows, and where its largest hole is."""
    said = {}
    for units, name in ((INCH_POUND, "inch"), (METRIC, "metric")):
        bench.speak(units)
        said[name] = [bench.sentence, [list(pair) for pair in bench.numbers]]
    said["picture"] = hashlib.sha256(bench._image.value).hexdigest()
    if result := bench.result:
        found = result.diagnosis
        said["verdict"] = result.account.verdict
        said["hole"] = [found.hole.kind, found.hole.block] if found.hole else []
        said["cause"] = list(found.causes)
    return said


def record(count):
    """The states that so many draws give, in order."""
    benches, found, rng = {}, [], np.random.default_rng(SEED)
    for number in range(count):
        part = list(PARTS)[number % len(PARTS)]
        if part not in benches:
            benches[part] = bench_for(part)
        bench = benches[part]
        for attempt in range(TRIES):
            values = draw(bench, rng)
            try:
                bench.setup(**values)
            except InputError:
                if attempt == 0:
                    bench.set(**values)
                    found.append({"number": number, "part": part, "values": values} | said_by(bench))
            else:
                break
        bench.set(**values)
        found.append({"number": number, "part": part, "values": values} | said_by(bench))
    return found


def compare(old, new):
    """Lines about whatever differs between two records."""
    if len(old) != len(new):
        yield f"{len(old)} states before, {len(new)} now"
    for before, now in zip(old, new, strict=False):
        where = f"{now['number']} {now['part']}"
        for name in (*SAID_BY_ALL, "hole", "cause"):
            if name in before and name in now and before[name] != now[name]:
                yield from (f"{where}: {name}", f"   before {before[name]}", f"   now    {now[name]}")
        for name in ("sum", "piece", "map", "worst"):  # what was said of the largest hole before it was one
            said = before.get(name, [])[:2]
            if said and now.get("hole") and said[-1] != now["hole"][1] or (
                    name in ("sum", "worst", "piece") and said and now.get("hole") and said != now["hole"]):
                yield f"{where}: largest hole by {name} {said}, now {now['hole']}"
        if before.get("piece") and now.get("cause") and before["piece"][2] != now["cause"][0]:
            yield f"{where}: cause {before['piece'][2]}, now {now['cause']}: {now['metric'][0]}"


def main(what, *rest):
    """Record, or compare two records."""
    if what == "record":
        count = int(rest[1]) if len(rest) > 1 else COUNT
        with open(rest[0], "w", encoding="utf-8") as file:
            json.dump(record(count), file, indent=1)
    else:
        both = []
        for path in rest:
            with open(path, encoding="utf-8") as file:
                both.append(json.load(file))
        print("\n".join(compare(*both)) or "nothing differs")


if __name__ == "__main__":
    main(*sys.argv[1:])
