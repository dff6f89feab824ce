"""The shop's own book in a real browser: a made-up one shown, entries written down, a pour planned."""

import json
from pathlib import Path

PAGE = Path(__file__).resolve().parents[2] / "notebooks" / "instructor" / "before_the_pour.ipynb"


def box(notebook, label):
    """The field whose label begins so."""
    row = notebook.page.locator(".jp-Notebook .jupyter-widgets:visible").filter(
        has=notebook.page.locator(f"label:text-matches('^{label}')"))
    return row.last.locator("input, select, textarea").last


def test_a_founder_writes_down_a_furnace_and_a_pour(opened, server):
    notebook = opened(PAGE)
    notebook.run_all()
    page = notebook.page

    def wait_for(words):
        notebook.wait_for(lambda: page.locator(".jp-Notebook").text_content(), lambda now: words in now)

    def says(words):
        return page.locator(f"div[role=status]:has-text('{words}'):visible").first

    notebook.press("Show a made-up book")
    wait_for("MADE UP")
    table = page.locator("td:has-text('the grey furnace'):visible").first
    notebook.screenshot("shop_made_up", table)
    notebook.screenshot("shop_made_up_pours", says("Correct by that"))
    notebook.press("Your own book")
    wait_for("The book is empty")
    notebook.wait_for(lambda: box(notebook, "date").input_value(), bool)
    page.wait_for_timeout(1000)  # the form is made anew for the other book
    box(notebook, "name of the furnace").fill("grey")
    box(notebook, "nameplate power").fill("1440")
    box(notebook, "highest setting").fill("1100")
    notebook.screenshot("shop_form", box(notebook, "highest setting"))
    notebook.press("Write it down")
    wait_for("1440 W by its nameplate; no heat-up yet")
    notebook.screenshot("shop_written", page.locator("td:has-text('no heat-up yet'):visible").first)
    notebook.press("Write down this plan as a pour")
    wait_for("choose it here")
    notebook.screenshot("shop_pour", says("choose it here"))
    kept = json.loads((Path(server.folder) / "my_shop.json").read_text())
    assert kept["furnaces"][0]["name"] == "grey" and kept["pours"][0]["part"] == "eye plate"
    assert notebook.alerts() == []
