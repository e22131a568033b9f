"""The Spanish catalogue: no line that nothing says, and every line of the papers that are printed in Spanish."""

import ast
import re
from pathlib import Path

import pytest
from django.conf import settings
from django.utils.translation.template import templatize

from casting.dayfile.sources_file import element_rows
from casting.papers.sheets.label_stock import all_stock

ROOT = Path(settings.BASE_DIR)
PO = ROOT / "casting" / "locale" / "es" / "LC_MESSAGES" / "django.po"
QUOTED = re.compile(r"""'(?:\\.|[^'\\])*'|"(?:\\.|[^"\\])*\"""")
IN_SPANISH = (
    "handout.html",
    "_handout_cleared.html",
    "_handout_today.html",
    "supplement.html",
    "_replaces.html",
    "../base_paper.html",
)
"""Templates of the papers that there are in Spanish."""
MODULES = ("papers/sheets/handout.py", "papers/sheets/handout_words.py", "presenters/vacuum.py")


def of_module(path):
    """Every text in a module."""
    found = [node.value for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.Constant)]
    return {text for text in found if isinstance(text, str)}


def translated_in(path):
    """The texts that a module marks for the catalogue."""
    calls = [node for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.Call)]
    for call in calls:
        name = getattr(call.func, "id", "")
        if name in {"_", "gettext", "pgettext", "pgettext_lazy"} and isinstance(call.args[-1], ast.Constant):
            yield call.args[-1].value


def of_template(path):
    """Every text that a template marks for the catalogue, and each context."""
    marked = templatize(path.read_text("utf-8"), origin=str(path))
    return {ast.literal_eval(text) for text in QUOTED.findall(marked)}


def in_catalogue(path=PO):
    """Every text of a catalogue."""
    blocks = re.findall(r'^msgid ((?:".*"\n)+)', path.read_text("utf-8"), re.MULTILINE)
    texts = ["".join(ast.literal_eval(line) for line in block.splitlines()) for block in blocks]
    return [text for text in texts if text]


def test_nothing_is_translated_that_nothing_says():
    said = set()
    for part in ("casting", "school"):
        said |= set().union(*(of_module(path) for path in (ROOT / part).rglob("*.py")))
    said |= set().union(*(of_template(path) for path in (ROOT / "templates").rglob("*.html")))
    said |= {row["name"] for row in element_rows()} | {stock.name for stock in all_stock()}
    assert [text for text in in_catalogue() if text not in said] == []


@pytest.mark.parametrize("name", IN_SPANISH)
def test_a_template_of_a_spanish_paper_is_translated_whole(name):
    path = ROOT / "templates" / "papers" / name
    marked = re.findall(r"gettext\((?:u?'[^']*', *)?u?('(?:\\.|[^'\\])*'|\"(?:\\.|[^\"\\])*\")",
                        templatize(path.read_text("utf-8"), origin=str(path)))  # fmt: skip
    known = {*in_catalogue(), *in_catalogue(ROOT / "school" / "locale" / "es" / "LC_MESSAGES" / "django.po")}
    assert marked and not {ast.literal_eval(text) for text in marked} - known


@pytest.mark.parametrize("name", MODULES)
def test_a_module_of_the_spanish_handout_is_translated_whole(name):
    marked = set(translated_in(ROOT / "casting" / name))
    assert marked and not marked - set(in_catalogue())
