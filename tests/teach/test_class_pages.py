"""The class set on paper and on the screen."""

import pytest

from castlab.errors import InputError
from castlab.teach import class_pages
from castlab.teach.text import markup
from castlab.teach.text.cautions import cautions_at
from castlab.teach.trust.class_set import by_rule, class_set, setup_of


def test_the_blanks_name_every_casting_and_say_the_cautions(tmp_path):
    words = markup.plain(class_pages.blanks("pure copper"))
    assert all(each.name in words for each in class_set())
    assert all(line in words for line in cautions_at("class set"))
    assert "8 kg" in words or "7.9 kg" in words  # 1000 cm3 of liquid copper
    page = class_pages.write_blanks("ZA-12", tmp_path)
    assert page.name == "class_set.html" and "sphere of 300 cm3" in markup.plain(page.read_text("utf-8"))


def test_the_button_saves_or_says_why_not(tmp_path):
    made = class_pages.Blanks("A356", tmp_path)
    made.button.click()
    assert (tmp_path / "class_set.html").is_file() and "Saved as" in made._said.value
    away = class_pages.Blanks("A356", tmp_path / "nowhere")
    away.button.click()
    assert "Not saved" in away._said.value


def test_the_list_by_rule_begins_with_the_thin_plates(capsys):
    class_pages.print_by_rule()
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 20 and "plate of 300 cm3" in lines[0] and "sphere of 1000 cm3" in lines[-1]


def test_blanks_hold_no_answer():
    """No modulus and no time of any casting stands on what a class gets."""
    words = markup.plain(class_pages.blanks())
    for casting in class_set():
        setup = setup_of(casting, "ZA-12", "green sand")
        assert f"{by_rule(casting, setup):.0f} s" not in words
        assert f"{1e3 * casting.modulus:.1f} mm" not in words


def test_times_that_go_with_the_square_are_found_to():
    """Twice the modulus, four times as long: the cubes with 2 min/cm2 of their own."""
    cubes = [each for each in class_set() if each.shape == "cube"]
    measured = {each.name: 2.0 * 6e5 * each.modulus**2 for each in cubes}
    check = class_pages.against_measured(measured, cubes[0].name)
    assert check.numbers["constant"] == pytest.approx(1.2e6)
    assert all(row[-1] in ("+0 %", "-0 %") for row in check.rows)
    assert check.png.startswith(b"\x89PNG")


@pytest.mark.parametrize("measured, reference, parameter", [
    ({"cube of 400 cm3": 90.0}, "cube of 400 cm3", "casting"),
    ({"cube of 300 cm3": -1.0}, "cube of 300 cm3", "time of the cube of 300 cm3"),
    ({"cube of 300 cm3": 90.0}, "cube of 500 cm3", "reference")])
def test_what_a_class_cannot_have_measured_is_refused(measured, reference, parameter):
    with pytest.raises(InputError) as caught:
        class_pages.against_measured(measured, reference)
    assert caught.value.parameter == parameter


def test_twenty_castings_by_rule_and_field():
    """With the rule's own times of one shape in the field's place the power is 2."""
    times = [1e6 * each.modulus**2 for each in class_set()]
    check = class_pages.against_rule(times, "ZA-12", "green sand")
    assert check.numbers["power"] == pytest.approx(2.0) and len(check.rows) == 20
    assert class_pages.expected().button.description.startswith("Compute the twenty")
