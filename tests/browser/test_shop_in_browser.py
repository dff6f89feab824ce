"""The shop's own book in a real browser: a made-up one shown, an entry written down, still there after a restart."""

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
    notebook.press("Show a made-up book")
    notebook.wait_for(lambda: page.locator(".jp-Notebook").text_content(), lambda words: "MADE UP" in words)
    table = page.locator("td:has-text('the grey furnace'):visible").first
    notebook.screenshot("shop_made_up", table)
    notebook.screenshot("shop_made_up_pours", page.locator("div[role=status]:has-text('Correct by that'):visible").first)
    notebook.press("Your own book")
    notebook.wait_for(lambda: page.locator(".jp-Notebook").text_content(), lambda words: "The book is empty" in words)
    notebook.wait_for(lambda: box(notebook, "date").input_value(), bool)
    page.wait_for_timeout(1000)  # the form is made anew for the other book
    box(notebook, "name of the furnace").fill("grey")
    box(notebook, "power on its plate").fill("1440")
    box(notebook, "highest setting").fill("1100")
    notebook.screenshot("shop_form", box(notebook, "highest setting"))
    notebook.press("Write it down")
    notebook.wait_for(lambda: page.locator(".jp-Notebook").text_content(),
                      lambda words: "1440 W on its plate; no heat-up yet" in words)
    notebook.screenshot("shop_written", page.locator("td:has-text('no heat-up yet'):visible").first)
    notebook.press("Write down this plan as a pour")
    notebook.wait_for(lambda: page.locator(".jp-Notebook").text_content(), lambda words: "fill in below" in words)
    notebook.screenshot("shop_pour", page.locator("div[role=status]:has-text('fill in below'):visible").first)
    kept = json.loads((Path(server.folder) / "my_shop.json").read_text())
    assert kept["furnaces"][0]["name"] == "grey" and kept["pours"][0]["part"] == "eye plate"
    assert notebook.alerts() == []
