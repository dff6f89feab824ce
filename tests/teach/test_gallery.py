"""The gallery: page and pictures belong together, and the sentences are what is computed now."""

import re
from pathlib import Path

import pytest
from PIL import Image

from castlab.teach import gallery
from castlab.teach.gallery import PAIRS

FIGURES = Path(__file__).resolve().parents[2] / "figures"
PAGE = (FIGURES / gallery.PAGE).read_text(encoding="utf-8")
MOST_BYTES = 60_000
NAMES = [pair.name for pair in PAIRS]


def each(test):
    return pytest.mark.parametrize("pair", PAIRS, ids=NAMES)(test)


def words_in(path):
    with Image.open(path) as picture:
        return picture.info["Description"]


def sentences_on_the_page(pair):
    """What the page says before and after, under this pair's title."""
    piece = PAGE.split(f"### {pair.title}\n")[1].split("\n### ")[0]
    return re.search(r"- \*\*Before\*\* \([^)]*\): (.+)\n- \*\*After\*\* \([^)]*\): (.+)\n", piece).groups()


@each
def test_the_page_says_what_the_picture_says(pair):
    before, after = sentences_on_the_page(pair)
    assert words_in(FIGURES / pair.file) == gallery.description(before, after)
    assert gallery.section_of(pair, before, after) in PAGE  # title, reason and settings are those of today


@each
def test_a_change_that_cures_makes_it_sound(pair):
    before, after = sentences_on_the_page(pair)
    assert "ound: of" not in before or "misrun" in before
    assert ("ound: " in after) == pair.sound


@pytest.mark.slow
@pytest.mark.parametrize("name", ["cavity", "misrun", "neck"])
def test_the_sentences_are_what_is_computed_now(name):
    pair = PAIRS[NAMES.index(name)]
    now = [gallery.said_of(pair, gallery.cast(pair, change))[0] for change in (pair.before, pair.after)]
    assert tuple(now) == sentences_on_the_page(pair), "draw again: python -m castlab.teach.figures"


@each
def test_both_sides_can_be_set_on_the_bench(pair):
    sliders = gallery.sliders_of(pair)
    for change in (pair.before, pair.after):
        for name, value in (pair.both | change).items():
            slider = sliders[name]
            if slider.kind == "choice":
                assert value in slider.options
            else:
                assert slider.low <= value <= slider.high
                steps = (value - slider.low) / slider.step
                assert steps == pytest.approx(round(steps), abs=1e-6), (name, value)


def test_every_picture_of_the_gallery_is_on_the_page_and_the_other_way_round():
    on_page = sorted(re.findall(r"\((gallery_\w+\.png)\)", PAGE))
    assert on_page == sorted(pair.file for pair in PAIRS)
    assert on_page == sorted(path.name for path in FIGURES.glob("gallery_*.png"))


def test_pictures_are_small_and_have_words():
    for path in FIGURES.glob("*.png"):
        assert path.stat().st_size < MOST_BYTES, path.name
        assert len(words_in(path)) > 40, path.name


def test_every_kind_of_defect_is_shown():
    shown = " ".join(sentences_on_the_page(pair)[0] for pair in PAIRS)
    for words in ("A sink of", "A shrinkage cavity of", "ponge in the", "that reaches down into", "a misrun",
                  "Marginal"):
        assert words in shown


def test_drawing_writes_page_and_pictures(tmp_path):
    pair = PAIRS[NAMES.index("cooler")]
    (name, words), = gallery.write_all(tmp_path, [pair])
    assert name == "cooler" and words == words_in(tmp_path / pair.file)
    assert pair.title in (tmp_path / gallery.PAGE).read_text(encoding="utf-8")
