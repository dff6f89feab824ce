"""Pages for paper, screen and notebook: a template from the folder `templates`, filled in.

Whatever is filled in is escaped, as HTML or as Markdown, because titles and answers come from outside. A name
that a template asks for and nobody gave is an error.
"""

import base64
import re
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from castlab.teach.text import markup
from castlab.units import raised

MARKDOWN_SIGNS = re.compile(r"([\\`*_{}\[\]<>#|~$&])")


def to_html(template, **values):
    """A piece of HTML: the template with these values in it.

    Raises jinja2.UndefinedError when a value is missing.
    """
    return HTML.get_template(template).render(values)


def whole_page(title, piece):
    """A piece of HTML as a file that stands alone and prints on A4 as well as on US letter.

    >>> whole_page("Fe & C", to_html("page.html", title="", piece="")).splitlines()[4]
    '<title>Fe &amp; C</title>'
    """
    return to_html("page.html", title=title, piece=piece)


def to_markdown(template, **values):
    """The template as Markdown with these values in it, for the cells of a notebook or a file.

    Raises jinja2.UndefinedError when a value is missing.
    """
    text = MARKDOWN.get_template(template).render(values)
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"


def escaped(words):
    r"""Words as they are, in Markdown.

    >>> escaped("2 * 3 [mm]")
    '2 \\* 3 \\[mm\\]'
    """
    return MARKDOWN_SIGNS.sub(r"\\\1", raised(words))


def _environment(parts, escape):
    """Templates whose every word goes through `escape` once; `parts` is the file with their macros."""

    def finished(value):
        return value if isinstance(value, Markup) else Markup(escape(str(value)))

    made = Environment(loader=FileSystemLoader(Path(__file__).with_name("templates")), autoescape=True,
                       undefined=StrictUndefined, finalize=finished, trim_blocks=True, lstrip_blocks=True,
                       keep_trailing_newline=True)
    made.globals["parts"] = parts
    made.filters["base64"] = lambda data: base64.b64encode(data).decode()
    return made


HTML, MARKDOWN = _environment("parts.html", markup.safe), _environment("parts.md", escaped)
