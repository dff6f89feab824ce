"""From the castings of a lesson's bench to one file: what the bench says and shows in each state, as HTML."""

import base64
import html
import importlib.metadata
import io
import json
import re
import zlib
from pathlib import Path

from PIL import Image

from castlab.field.outcome import FULL
from castlab.plan import Batch, Job
from castlab.teach.bench import film as bench_film
from castlab.teach.pages.one_casting import casting_or_none
from castlab.teach.picture.picture import WIDTH
from castlab.teach.sliders.slider import words_of
from castlab.teach.text import markup, pages
from castlab.teach.text.cautions import cautions_at

MOST_BYTES = 4_000_000  # of a page; one that would be larger has no films
PORTION = 10  # castings that are in memory together: each takes about 15 MB
DIGITS = 4  # of the volumes in a film's chart: more cannot be seen
LESSONS = Path(__file__).resolve().parents[3] / "notebooks" / "lessons"
SCRIPTS = Path(bench_film.__file__).with_name("film.js"), Path(__file__).with_name("page.js")
MADE = ("Computed beforehand by castlab {}, in three dimensions, in cells of {} and finer ones where "
        "sections are thin: {} castings. What lies between two places of a slider was not computed. All else "
        "stands as the lesson's bench has it at first: {}.")


def compute(page, bench, work, progress=None):
    """Compute the castings of a page; returns what `state_of` says of each of `page.states()`.

    Parameters: `page`, a TouchPage; `bench`, its bench; `work`, the Work that computes; `progress`, a
    function: (how many are done, of how many), called after each.
    """
    all_values, of_setup, known = page.states(), {}, {}
    bench.hide()  # it follows its sliders, and computes nothing
    for number, values in enumerate(all_values):
        if bench.set(**values).error is None:
            of_setup.setdefault(bench.setup(), []).append(number)
        else:
            known[number] = state_of(bench)
    bench.reveal()

    def take(job, casting):
        (setup,) = job.args
        if casting is not None:
            bench.keep(setup, FULL, casting)
        state = state_of(bench.set(**all_values[of_setup[setup][0]]))
        known.update(dict.fromkeys(of_setup[setup], state))
        if progress:
            progress(len(known), len(all_values))

    work.start(in_portions(list(of_setup)), on_result=take)
    work.wait()
    bench.start_again()
    return [known[number] for number in range(len(all_values))]


def in_portions(setups):
    """The plan that computes castings of these setups and keeps none of them."""
    for begin in range(0, len(setups), PORTION):
        left = setups[begin:]
        yield Batch([Job(casting_or_none, setup) for setup in left[:PORTION]], max(len(left) - PORTION, 0))


def state_of(bench):
    """What a bench says and shows now: sentence, numbers, picture and film, as a page keeps them."""
    said = html.unescape(markup.safe(bench.sentence))  # numbers stay with their units
    result = bench.result
    if result is None:
        return {"said": said, "below": ""}
    shown = {"said": said, "below": bench.bars + markup.numbers(bench.numbers), "film": None,
             "png": _smaller(bench.png)}
    if not bench.film_place.can_be_seen:
        return shown
    film = bench_film.film_of(result.account, result.section, bench.units)
    told = json.dumps(_rounded(film.film), separators=(",", ":")).encode()
    kept = {"told": _packed(zlib.compress(told, 9)), "still": _smaller(film.still),
            "moments": _smaller(film.moments)}
    film.close()
    return shown | {"film": kept}


def page_of(page, bench, states):
    """The page as one piece of HTML that loads nothing.

    Parameters: `page`, a TouchPage; `bench`, its bench as it stands at first; `states`, what `state_of` gave
    for each of `page.states()`.
    """
    whole = _filled_in(page, bench, states)
    if len(whole.encode()) <= MOST_BYTES:
        return whole
    return _filled_in(page, bench, [{**state, "film": None} for state in states])


def _filled_in(page, bench, states):
    lesson, stops = page.lesson, dict(page.stops)
    sliders = [{"label": bench.controls[name].slider.label, "first": values.index(bench.first_values[name]),
                "stops": [words_of(bench.controls[name].slider, value, bench.units) for value in values]}
               for name, values in page.stops]
    different = list({json.dumps(state): state for state in states}.values())  # no feeder has no height
    return pages.to_html(
        "touch.html", title=f"{lesson.number}. {lesson.title}", sliders=sliders,
        about=f"{_sentence(lesson.about)} Move a slider with finger, mouse or arrow keys.",
        data={"sliders": sliders, "states": different, "at": [different.index(state) for state in states]},
        first=states[page.states().index({name: bench.first_values[name] for name in stops})],
        size=(WIDTH, max(_height(state["png"]) for state in different if "png" in state)),
        see=bench_film.ASKED, reading=reading(), limits=limits(lesson), made=_made(stops, bench, len(states)),
        cautions=cautions_at("page to touch"), script="\n".join(map(_text, SCRIPTS)))


def _made(moved, bench, count):
    others = ", ".join(
        f"{control.slider.label} {words_of(control.slider, bench.first_values[name], bench.units)}"
        for name, control in bench.controls.items() if name not in moved)
    version = importlib.metadata.version("castlab")
    return MADE.format(version, bench.units.length(FULL.cell), count, others)


# ---- the lessons' own words


def limits(lesson):
    """What a lesson says that its model leaves out, as plain words.

    Raises FileNotFoundError where the lessons are not beside castlab.
    """
    words = re.search(r"## What this model leaves out\n\n(.+?)\n\n## ", _markdown(lesson.file), re.DOTALL)[1]
    return _plain(words)


def reading():
    """How lesson 1 says a picture is read: what colours and lines mean, each as plain words."""
    bench = re.search(r"\n\n((?:- \*\*.+?)+)\n\nBelow the picture", _markdown("01_first_casting.ipynb"),
                      re.DOTALL)[1]
    return [_plain(words) for words in re.split(r"(?:^|\n)- ", bench) if words]


def _markdown(notebook):
    cells = json.loads(_text(LESSONS / notebook))["cells"]
    return "\n\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")


def _plain(words):
    return " ".join(re.sub(r"[*`]", "", words).split())


def _text(path):
    return path.read_text(encoding="utf-8")


# ---- small enough to be carried


def _packed(data):
    return base64.b64encode(data).decode()


def _smaller(png):
    """The same pixels in fewer bytes, as text."""
    file = io.BytesIO()
    Image.open(io.BytesIO(png)).save(file, "PNG", optimize=True)
    return _packed(file.getvalue())


def _height(packed):
    return Image.open(io.BytesIO(base64.b64decode(packed))).height


def _rounded(film):
    suppliers = [{**each, "volumes": [float(f"{volume:.{DIGITS}g}") for volume in each["volumes"]]}
                 for each in film["suppliers"]]
    return {**film, "suppliers": suppliers}


def _sentence(words):
    """With a capital letter, and a full stop unless it is a question."""
    return f"{words[0].upper()}{words[1:]}{'' if words.endswith('?') else '.'}"
