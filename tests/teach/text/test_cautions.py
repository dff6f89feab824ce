"""The cautions: what must be among them, and that each place says those that belong there."""

import pytest
from prose import words_of

from castlab.teach.text.cautions import CAUTIONS, PLACES, cautions_at

WRITTEN_BY_HAND = {
    "README": "README.md",
    "lesson 1": "notebooks/lessons/01_first_casting.ipynb",
    "melt plan": "notebooks/lessons/08_melt_plan.ipynb",
    "before the pour": "notebooks/instructor/before_the_pour.ipynb",
    "marking desk": "notebooks/instructor/marking_desk.ipynb",
    "teach with it": "notebooks/instructor/TEACH_WITH_IT.md",
}
WHERE_METAL_IS_MELTED = ("README", "lesson 1", "melt plan", "pour sheet", "instructor's sheet",
                         "teach with it", "class set")
SUBJECTS = (
    "kills and maims", "local codes", "makers' instructions", "qualified practice", "never work alone",
    "dry and warm tools, mould and charge", "no water near the melt", "dry spill tray", "bare concrete",
    "face, eyes, hands and feet", "no synthetics", "ventilate", "zinc and lead fume", "zinc-bearing",
    "silica dust", "damp the sand", "respirator", "unknown scrap", "magnesium", "leaded",
    "crucible before each", "circuit for the furnace alone", "furnace off before a skimmer, stirrer or probe",
    "ingot mould", "never let metal freeze in the crucible", "weight or clamp",
    "dry-powder extinguisher rated for metal fires",
    "dry sand; never water", "cool running water", "then a doctor", "load-bearing or safety part",
)


def said(lines):
    return " ".join(lines).lower()


@pytest.mark.parametrize("subject", SUBJECTS)
@pytest.mark.parametrize("place", WHERE_METAL_IS_MELTED)
def test_none_is_missing_where_metal_is_melted(place, subject):
    if (place, subject) != ("pour sheet", "weight or clamp"):  # the sheet says which weight
        assert subject in said(cautions_at(place))


@pytest.mark.parametrize("place", ["README", "lesson 1", "teach with it", "student's hand-out"])
def test_the_castings_of_the_course_are_for_practice(place):
    assert "practice pieces: fit none to a boat" in said(cautions_at(place))


def test_lesson_8_warns_of_the_probe_and_of_the_bar_without_a_stamp():
    words = said(cautions_at("melt plan"))
    assert "take it out before the metal is solid" in words
    assert "without a stamp" in words and "excludes neither magnesium nor lead" in words


@pytest.mark.parametrize("place", WRITTEN_BY_HAND)
def test_what_is_written_by_hand_says_them_word_for_word(place):
    words = words_of(WRITTEN_BY_HAND[place]).replace(" - ", " ").lower()
    assert [line for line in cautions_at(place) if line.lower() not in words] == []


def test_every_caution_stands_somewhere():
    assert {name for names in PLACES.values() for name in names} == set(CAUTIONS)


def test_nothing_calls_bronze_without_zinc_a_fuming_metal():
    for line in CAUTIONS.values():
        assert "bronze" not in line or "zinc-bearing brass and bronze" in line
