"""Templates: all that is filled in is escaped once, and nothing is left out in silence."""

import re

import jinja2
import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.teach.text import pages

WICKED = "<b>|` 3 cm3 & {{ 7 * 7 }} $x$"
AS_HTML = "&lt;b&gt;|` 3&nbsp;cm³ &amp; {{ 7 * 7 }} $x$"
AS_MARKDOWN = r"\<b\>\|\` 3 cm³ \& \{\{ 7 \* 7 \}\} \$x\$"
KINDS = pages.HTML, pages.MARKDOWN


@pytest.mark.parametrize("text", ["{{ words }}", "{% from parts import words as said %}{{ said(words) }}",
                                  "{% from parts import items %}{{ items([words]) }}",
                                  "{% from parts import table %}{{ table([words], [[words]], words) }}"])
def test_each_word_is_escaped_once_however_it_is_filled_in(text):
    page, cell = (kind.from_string(text).render(words=WICKED) for kind in KINDS)
    assert AS_HTML in page and "<b>" not in page
    assert AS_MARKDOWN in cell and "<b>" not in cell


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("text", ["{{ gone }}", "{% for each in gone %}{% endfor %}", "{{ words.gone }}"])
def test_what_is_missing_is_an_error(kind, text):
    with pytest.raises(jinja2.UndefinedError):
        kind.from_string(text).render(words=WICKED)


@given(st.text())
def test_a_row_in_markdown_keeps_its_columns(words):
    line = " ".join(words.split())
    template = pages.MARKDOWN.from_string("{% from parts import table %}{{ table('ab', [[line, line]]) }}")
    head, rule, row = template.render(line=line).strip("\n").split("\n")
    assert head == "| a | b |" and rule == "| --- | --- |"
    assert row.replace(r"\\", "").replace(r"\|", "").count("|") == 3


def test_the_paper_is_what_lies_in_the_printer():
    (rule,) = re.findall(r"@page {(.*?)}", pages.whole_page("title", ""))
    assert "margin:" in rule and "size" not in rule
