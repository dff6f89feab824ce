"""Prose as tests read it: the words of notebooks and pages, and the numbers with a unit in them."""

import json
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
NUMBER = r"[−-]?\d+(?:[ \u202f]\d{3})*(?:\.\d+)?"
UNIT = (r"mm|cm[23²³]|cm|kg/m[3³]|g/cm[3³]|m/s²|m/s|kg|lb|g|in[3³]|in(?= (?:thick|wide|high)\b|[),.;])|"
        r"minutes|min|hours|hour|h|s|°C|°F|K|%|kJ/kg|kelvin|volts|V|amperes|A|W/m²K|kW|W|MB|m")
SEVERAL = rf"{NUMBER}(?:(?:,| to| and| or| x) {NUMBER})*"
QUANTITY = re.compile(rf"(?<![\w.,/=])({SEVERAL}) ?({UNIT})(?![\w/])")


def words_of(path):
    """The prose of a notebook or a page on one line, without code and formulas set apart."""
    text = (ROOT / path).read_text(encoding="utf-8")
    if str(path).endswith(".ipynb"):
        cells = json.loads(text)["cells"]
        text = "\n\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")
    text = re.sub(r"```.*?```|\$\$.*?\$\$|`[^`]*`|\]\([^)]*\)", " ", text, flags=re.DOTALL)
    text = re.sub(r"\\[,;!]", " ", text).replace("$", " ").replace("*", "").replace("\\", "")
    return " ".join(text.split())


def quantities(path):
    """Every number with a unit, such as "10 to 20 %", in the order in which they stand."""
    return [f"{numbers} {unit}" for numbers, unit in QUANTITY.findall(words_of(path))]
