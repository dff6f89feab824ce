"""A part of one's own in a real browser, without typing code: from an empty table, and from an STL file."""

from pathlib import Path

import meshes
import pytest

from castlab.field.example_parts import figure_triangles

PAGE = Path(__file__).resolve().parents[2] / "notebooks" / "instructor" / "own_part.ipynb"
POUR_SECONDS = 240


@pytest.fixture
def desk(opened):
    notebook = opened(PAGE)
    notebook.run_all()
    return Desk(notebook)


class Desk:
    """What a person does on the page."""

    def __init__(self, notebook):
        self.notebook, self.page = notebook, notebook.page

    def says(self, words, seconds=60):
        """Wait until these words stand on the page."""
        found = self.page.locator(f".jp-Notebook div:has-text('{words}'):visible").last
        found.wait_for(timeout=1000 * seconds)
        return found

    def field(self, label, number=0):
        """The field whose label is this one, counted from 0 among the rows."""
        rows = self.page.locator(".jp-Notebook .widget-text:visible, .jp-Notebook .widget-dropdown:visible")
        row = rows.filter(has=self.page.locator(f"label:text-is('{label}')"))
        return row.nth(number).locator("input, select").first

    def type(self, label, value, number=0):
        """Type into a field, and leave it."""
        field = self.field(label, number)
        field.fill(str(value))
        field.blur()

    def shot(self, name, words):
        self.notebook.screenshot(name, self.says(words))


def test_from_an_empty_table_to_a_pour_sheet(desk, server):
    desk.shot("own_begins", "140 mm long")
    desk.field("begin with").select_option("a new part")
    desk.says("60 mm long, 20 mm high, 30 mm wide")
    desk.type("name of the part", "anvil")
    desk.type("length", 90)
    desk.type("height", 12)
    desk.notebook.press("Add a body")
    desk.type("x", 30, 1)
    desk.says("anvil: 90 mm long")
    desk.type("height", 36, 1)
    desk.type("length", 36, 1)
    desk.type("width", 36, 1)
    desk.type("y", 12, 1)
    desk.shot("own_typed", "anvil: 93 mm long, 36 mm high, 36 mm wide")
    desk.notebook.press("Pour")
    desk.says("lacks", POUR_SECONDS)
    desk.shot("own_spots", "Hot spots")
    desk.shot("own_films", "A film shows")
    desk.shot("own_cut_away", "is cut away. Skin is grey")
    desk.notebook.press("Feeder here")
    desk.says("Press “Pour” to see")
    desk.notebook.press("Pour")
    desk.says("the feeder supplies", POUR_SECONDS)
    desk.shot("own_fed", "the feeder supplies")
    desk.notebook.press("Fill in from the benches")
    desk.says("Pour sheet: anvil in ZA-12")
    desk.shot("own_sheet", "pattern over all")
    desk.notebook.press("Save it")
    desk.notebook.wait_for(lambda: list(server.folder.glob("pour_sheet_anvil*")), bool)
    desk.notebook.press("Save the part")
    desk.notebook.wait_for((server.folder / "anvil.part.json").exists, bool)
    assert desk.notebook.alerts() == []


def test_from_an_stl_file_to_a_cure(desk, tmp_path):
    path = tmp_path / "seal.stl"
    path.write_bytes(meshes.binary(1e3 * figure_triangles()))
    with desk.page.expect_file_chooser() as chosen:
        desk.notebook.press("Bring a file")
    chosen.value.set_files(path)
    desk.says("It was probably drawn in mm")
    desk.shot("own_asked", "It was probably drawn in mm")
    desk.notebook.press("Take it")
    desk.says("seal.stl is on the desk")
    desk.shot("own_stl", "seal: ")
    desk.notebook.press("Pour")
    desk.says("lacks", POUR_SECONDS)
    desk.shot("own_stl_poured", "Hot spots")
    desk.notebook.press("Find the cures")
    desk.page.get_by_label("put on the part").wait_for(timeout=5000 * POUR_SECONDS)
    desk.shot("own_cures", "Cures")
    assert desk.notebook.alerts() == []


def test_an_outline_on_squared_paper(desk):
    desk.field("begin with").select_option("a new part")
    desk.says("60 mm long, 20 mm high, 30 mm wide")
    page, shape = desk.page, desk.page.locator(".jp-Notebook select:visible:has(option:text-is('outline'))")
    shape.first.select_option("outline")
    desk.notebook.press("Draw it on squared paper")
    corner = page.locator("[data-corner='1']")
    corner.wait_for()
    corner.focus()
    cells = page.locator(".jp-Cell").count()
    for key in ("ArrowRight", "ArrowRight", "Shift+ArrowRight", "ArrowUp"):
        page.keyboard.press(key)
    desk.says("Corner 2: x 52 mm, z 1 mm")  # from 40, 0 in steps of 1 mm; it lies along y
    page.keyboard.press("x")  # JupyterLab would cut the cell
    assert page.locator(".jp-Cell").count() == cells
    desk.notebook.wait_for(desk.field("corners").input_value, lambda words: words.startswith("0 0; 52 1;"))
    page.keyboard.press("Enter")
    desk.says("corner 3 of 4")
    spot = page.locator("[data-corner='2']").bounding_box()
    page.mouse.move(spot["x"] + 6, spot["y"] + 6)
    page.mouse.down()
    page.mouse.move(spot["x"] + 60, spot["y"] - 80, steps=5)
    page.mouse.up()
    desk.notebook.wait_for(desk.field("corners").input_value, lambda words: words.count(";") == 3)
    page.get_by_label("x", exact=True).and_(page.locator("input[inputmode]")).fill("45,5")
    page.keyboard.press("Tab")
    desk.notebook.wait_for(desk.field("corners").input_value, lambda words: "; 45.5 " in words)
    desk.notebook.screenshot("own_paper", page.locator("[data-corner='0']"))
    page.locator("[data-corner='2']").focus()
    page.keyboard.press("Delete")
    desk.notebook.wait_for(desk.field("corners").input_value, lambda words: words == "0 0; 52 1; 0 30")
    shape.first.select_option("turned")
    desk.says("radius 0 mm")
    desk.notebook.screenshot("own_paper_turned", page.locator("[data-corner='0']"))
    assert desk.notebook.alerts() == []


def test_a_casting_of_the_part_is_drawn_read_and_cured(desk):
    """As lesson 10: evidence, the cause, then the sliders."""
    desk.notebook.press("Draw a casting of this part")
    desk.says("your door handle", POUR_SECONDS)
    desk.notebook.press("look in the scrap")
    desk.notebook.screenshot("own_sawn", desk.says("In the scrap lie the gate"))
    desk.notebook.choose(0)
    desk.notebook.press("This is what I expect")
    desk.notebook.screenshot("own_sawn_read", desk.says("Castings read so far: 1"))
    desk.says("So: ")
    desk.page.locator(".noUi-handle:visible").first.wait_for()
    assert desk.notebook.alerts() == []
