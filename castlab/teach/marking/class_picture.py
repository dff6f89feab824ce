"""The class in one picture: each cure by its metal and the holes it leaves, and who gave which reason."""

import io
import textwrap
from collections import Counter

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from castlab.field.diagnosis import CAUSES

WIDTH, HEIGHT, DPI = 940, 430, 100  # pixels on the screen
DARK, RIGHT, WRONG = "#141414", "#005aa0", "#eb9e1e"
FONT_PT = 10
MOST_NUMBERS = 4  # papers named beside one mark
HIGHEST = 200.0  # per cent of the holes; what is worse is drawn at the upper edge
REASON_WIDTH = 44  # letters on one line
FAR = 1.1  # a pot that holds so many times the heaviest cure limits nobody
LIFT, LINE, HALF_LETTER, MARK = 9.0, 15.0, 3.4, 5.0  # pixels: numbers above their mark, height, half widths


def picture_of(marks):
    """The class as the bytes of a PNG; b"" where no paper was marked.

    marks   a `Mark` each, in the order of the table: papers have the number of their row
    """
    if all(mark.problem for mark in marks):
        return b""
    figure = Figure(figsize=(WIDTH / DPI, HEIGHT / DPI), dpi=DPI, facecolor="white")
    FigureCanvasAgg(figure)
    _draw_cures(figure.add_axes((0.065, 0.125, 0.41, 0.79)), marks)
    _draw_reasons(figure.add_axes((0.81, 0.125, 0.17, 0.79)), marks)
    file = io.BytesIO()
    figure.savefig(file, format="png", metadata={"Software": None})
    return file.getvalue()


def words_of(marks):
    """The same in words, for who cannot see the picture."""
    done = [mark for mark in marks if not mark.problem]
    if not done:
        return ""
    tally = Counter(kind_of(mark) for mark in done)
    parts = [f"{count} {kind}" for kind, count in tally.most_common()]
    wrong = Counter(mark.returned.answer.reason for mark in done if not reason_is_right(mark))
    reasons = "; ".join(f"{count} said: {CAUSES[reason]}" for reason, count in wrong.most_common())
    missed = f" Wrong reasons: {reasons}." if reasons else " Nobody gave a wrong reason."
    return f"Of {len(done)} cures, {', '.join(parts)}.{missed}"


def kind_of(mark):
    """What came of a cure: "sound", "not sound", "too much metal for the pot" or "cannot be cast"."""
    if mark.outcome.refused:
        return "cannot be cast"
    if mark.outcome.poured_kg > mark.exercise.most_metal_kg:
        return "too much metal for the pot"
    return "sound" if mark.outcome.sound else "not sound"


def reason_is_right(mark):
    """Whether the reason got marks, or would have, had there been any for it."""
    return mark.returned.answer.reason in mark.truth.outcome.causes


def points_of(marks):
    """{(metal, holes): numbers of papers}: metal as a share of the casting as it was given, holes as a share
    of its holes, both in per cent; of what cannot be cast there is none."""
    points = {}
    for number, mark in enumerate(marks, start=1):
        if not mark.problem and not mark.outcome.refused:
            given = mark.truth.outcome
            metal = 100.0 * mark.outcome.poured_kg / given.poured_kg
            holes = 0.0 if mark.outcome.sound else 100.0 * mark.outcome.defect_m3 / given.defect_m3
            points.setdefault((round(metal, 1), round(min(holes, HIGHEST), 1)), []).append(number)
    return points


def _draw_cures(axes, marks):
    """A mark for each cure, with the numbers of its papers."""
    points, looks = points_of(marks), {}
    for number, mark in enumerate(marks, start=1):
        if not mark.problem:
            looks[number] = ("o", RIGHT) if kind_of(mark) == "sound" else ("s", WRONG)
    for (metal, holes), numbers in points.items():
        shape, colour = looks[numbers[0]]
        axes.plot(metal, holes, shape, color=colour, markeredgecolor=DARK, markersize=9, clip_on=False,
                  zorder=3)
    metals = [95.0, 105.0, *(metal for metal, _ in points)]
    limits = {words: at for words, at in _limits_of(marks).items() if at < FAR * max(metals)}
    metals += limits.values()
    room, highest = 0.1 * (max(metals) - min(metals)), 1.15 * max([100.0, *(holes for _, holes in points)])
    axes.set(xlim=(min(metals) - room, max(metals) + room), ylim=(0.0, highest))
    for words, at in limits.items():
        axes.axvline(at, color=DARK, linestyle="--", linewidth=1.0, zorder=1)
        axes.text(at, highest, f"{words} ", size=FONT_PT - 1, rotation=90, ha="right", va="top")
    _write_numbers(axes, points)
    axes.set_xlabel("metal poured, % of the casting as it was given", size=FONT_PT)
    axes.set_ylabel("holes left, % of those it was given with", size=FONT_PT)
    axes.set_title("each cure (papers by number); 0: sound", size=FONT_PT + 1, loc="left")
    axes.tick_params(labelsize=FONT_PT)
    axes.spines[["top", "right"]].set_visible(False)


def _limits_of(marks):
    """{words: metal in per cent of the casting as it was given} of lines that help to read the picture: the
    lightest cure known and what the pot holds, where all papers are of one exercise."""
    done = [mark for mark in marks if not mark.problem]
    if len({mark.exercise.key for mark in done}) > 1:
        return {}
    limits = {"lightest known": done[0].best_kg, "the pot holds": done[0].exercise.most_metal_kg}
    return {words: 100.0 * kg / done[0].truth.outcome.poured_kg for words, kg in limits.items() if kg}


def _write_numbers(axes, points):
    """Numbers above their marks, higher where others stand already, with a thin line down to the mark."""
    scale = axes.transData
    marks = [scale.transform(point) for point in points]
    placed = [(across, up - LIFT, MARK) for across, up in marks]  # marks are not written over either
    for (metal, holes), numbers in sorted(points.items()):
        more = f" +{len(numbers) - MOST_NUMBERS}" if len(numbers) > MOST_NUMBERS else ""
        words = ", ".join(map(str, numbers[:MOST_NUMBERS])) + more
        across, foot = scale.transform((metal, holes))
        up, wide = foot + LIFT, HALF_LETTER * len(words) + 2.0
        while any(abs(across - x) < wide + w and abs(up - y) < LINE for x, y, w in placed):
            up += LINE
        placed.append((across, up, wide))
        x, y = scale.inverted().transform((across, up))
        if up > foot + LIFT:
            axes.plot([x, x], [holes, y], color=DARK, linewidth=0.6, zorder=2)
        axes.text(x, y, words, size=FONT_PT, ha="center", va="bottom", color=DARK, zorder=4,
                  bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.5})


def _draw_reasons(axes, marks):
    """How many gave each reason, and for how many of them it was right."""
    done = [mark for mark in marks if not mark.problem]
    right = Counter(mark.returned.answer.reason for mark in done if reason_is_right(mark))
    wrong = Counter(mark.returned.answer.reason for mark in done if not reason_is_right(mark))
    for row, reason in enumerate(CAUSES):
        axes.barh(row, right[reason], color=RIGHT, edgecolor=DARK, height=0.6)
        axes.barh(row, wrong[reason], left=right[reason], color=WRONG, edgecolor=DARK, height=0.6, hatch="//")
        counts = ((right[reason], "right"), (wrong[reason], "wrong"))
        words = ", ".join(f"{count} {what}" for count, what in counts if count) or "0"
        axes.text(right[reason] + wrong[reason], row, f"  {words}", size=FONT_PT, va="center", color=DARK)
    names = ["\n".join(textwrap.wrap(words, REASON_WIDTH)) for words in CAUSES.values()]
    axes.set_yticks(range(len(CAUSES)), names, size=FONT_PT - 1)
    most = max((right + wrong).values())
    axes.set(xlim=(0.0, 1.9 * most), ylim=(len(CAUSES) - 0.5, -0.5), xticks=())
    axes.set_title("reason given", size=FONT_PT + 1, loc="left")
    axes.spines[["top", "right", "bottom"]].set_visible(False)
