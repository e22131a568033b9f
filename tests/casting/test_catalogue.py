"""The Spanish catalogue: no line that nothing says, and every line of casting's pages and of the papers in Spanish."""

import ast
import functools
import gettext
import re
from pathlib import Path

import pytest
from django.conf import settings
from django.utils.translation import override, pgettext
from django.utils.translation.template import templatize

from casting.dayfile.sources_file import element_rows
from casting.papers.sheets.label_stock import all_stock

ROOT = Path(settings.BASE_DIR)
PO_OF_SCHOOL = ROOT / "school" / "locale" / "es" / "LC_MESSAGES" / "django.po"
PO = ROOT / "casting" / "locale" / "es" / "LC_MESSAGES" / "django.po"
QUOTED = re.compile(r"""'(?:\\.|[^'\\])*'|"(?:\\.|[^"\\])*\"""")
IN_SPANISH = (
    "handout.html",
    "_handout_cleared.html",
    "_handout_today.html",
    "supplement.html",
    "_replaces.html",
    "_working.html",
    "_working_metal.html",
    "_working_powder.html",
    "_into_water.html",
    "no_pdf.html",
    "../base_paper.html",
)
"""Templates of the papers that there are in Spanish, and those that pages share with papers."""
IN_ENGLISH = ("papers/sheets", "management", "migrations", "dayfile", "worker")
"""Rooms whose words are English: the papers of the bench, commands, and what a plan file says."""
SHEETS_IN_SPANISH = {"handout.py", "handout_words.py", "sheet_picture.py", "label_stock.py"}
TEMPLATES = [
    *(ROOT / "templates" / "papers" / name for name in IN_SPANISH),
    *sorted((ROOT / "templates" / "casting").rglob("*.html")),
]
MODULES = [
    path
    for path in sorted((ROOT / "casting").rglob("*.py"))
    if path.name in SHEETS_IN_SPANISH or not any(room in path.as_posix() for room in IN_ENGLISH)
]
MARKED_NOWHERE = {
    "-//Class casting day//EN",  # who made a calendar file, for programs
    "not cancelled", "not ended",  # keys of a day's state
    " stands here", " is entered", " stand here", " are entered",  # words of the core
    ". It contains ", ". Each contains ", "; take it from the supplier's sheet",
    "width_mm depth_mm height_mm", "max_diameter_mm max_height_mm",  # names of figures
    "<!-- from memory -->", '<span lang="en">{}</span>',
    '<link rel="stylesheet" href="{}">', '<style nonce="{}">{}</style>', "flask tree", "Location",
}  # fmt: skip
"""Texts of the rooms that speak to people which nobody reads."""
SPEAK = ("presenters", "forms", "templatetags", "drawings", "views")
QUIET = {"Http404", "ValueError", "TypeError", "KeyError", "exception", "error", "info", "warning", "compile", "sub"}
SENTENCE = re.compile(r"[A-Za-z]{2,} [a-z]{2,}|^[A-Z][a-z]+$")


def of_module(path):
    """Every text in a module."""
    found = [node.value for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.Constant)]
    return {text for text in found if isinstance(text, str)}


MARKERS = {"_", "lazy", "gettext", "gettext_lazy", "gettext_noop", "ngettext", "pgettext", "pgettext_lazy"}
AT_FILTER = re.compile(r"_\((\"(?:[^\"\\]|\\.)*\"|'(?:[^'\\]|\\.)*')\)")


def texts_of(calls):
    """The texts that calls mark for the catalogue; a context is none."""
    for call in calls:
        if isinstance(call, ast.Call) and (name := getattr(call.func, "id", "")) in MARKERS:
            texts = call.args[1:] if name.startswith("pgettext") else call.args
            yield from (part.value for part in texts if isinstance(part, ast.Constant) and str(part.value).strip())


def marked_in_template(path):
    """The texts that a template marks: as Django's own extraction finds them."""
    marked = templatize(path.read_text("utf-8"), origin=str(path))
    for found in re.finditer(r"\b(?:n?gettext|pgettext)\(", marked):
        ends = [place.end() for place in re.finditer(r"\)", marked[found.start() :])]
        for end in ends:
            try:
                yield from texts_of([ast.parse(marked[found.start() :][:end], mode="eval").body])
            except SyntaxError:
                continue
            break
    yield from (ast.literal_eval(one) for one in AT_FILTER.findall(path.read_text("utf-8")))


def marked_in(path):
    """The texts that a module or a template marks."""
    if path.suffix == ".html":
        return set(marked_in_template(path))
    return set(texts_of(ast.walk(ast.parse(path.read_text("utf-8")))))


def of_template(path):
    """Every text that a template marks for the catalogue, and each context."""
    marked = templatize(path.read_text("utf-8"), origin=str(path))
    return {ast.literal_eval(text) for text in QUOTED.findall(marked)}


def in_catalogue(path=PO, kind="msgid"):
    """Every text of a catalogue."""
    blocks = re.findall(rf'^{kind} ((?:".*"\n)+)', path.read_text("utf-8"), re.MULTILINE)
    texts = ["".join(ast.literal_eval(line) for line in block.splitlines()) for block in blocks]
    return [text for text in texts if text]


def test_nothing_is_translated_that_nothing_says():
    said = set()
    for part in ("casting", "school"):
        said |= set().union(*(of_module(path) for path in (ROOT / part).rglob("*.py")))
    said |= set().union(*(of_template(path) for path in (ROOT / "templates").rglob("*.html")))
    said |= {row["name"] for row in element_rows()} | {stock.name for stock in all_stock()}
    assert [text for text in in_catalogue() if text not in said] == []


@functools.cache
def known():
    """Every text of both catalogues, plurals too."""
    both = PO, PO_OF_SCHOOL
    return {text for path in both for text in (*in_catalogue(path), *in_catalogue(path, "msgid_plural"))}


@pytest.mark.parametrize("path", [*TEMPLATES, *MODULES], ids=lambda path: str(path.relative_to(ROOT)))
def test_whatever_casting_says_is_in_the_catalogue(path):
    assert marked_in(path) - known() == set()


@pytest.mark.parametrize("name", ["element", "label stock"])
def test_names_of_the_fixtures_are_in_the_catalogue_too(name):
    names = {"element": [row["name"] for row in element_rows()], "label stock": [one.name for one in all_stock()]}[name]
    with override("es"):
        assert [one for one in names if f'msgctxt "{name}"\nmsgid "{one}"\n' not in PO.read_text("utf-8")] == []
        assert pgettext("element", "lead") == "plomo"


def unmarked_in(path):
    """The sentences of a module that no catalogue is asked for."""
    tree, aside = ast.parse(path.read_text("utf-8")), set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            aside.add(node.value)
        called = getattr(node.func, "id", getattr(node.func, "attr", "")) if isinstance(node, ast.Call) else ""
        if called in MARKERS | QUIET or isinstance(node, ast.arg):
            aside |= set(ast.walk(node))
    texts = [node for node in ast.walk(tree) if isinstance(node, ast.Constant) and node not in aside]
    return {node.value for node in texts if isinstance(node.value, str) and SENTENCE.search(node.value)}


@pytest.mark.parametrize("room", SPEAK)
def test_no_sentence_of_a_room_that_speaks_to_people_is_left_unmarked(room):
    said = set().union(*(unmarked_in(path) for path in (ROOT / "casting" / room).rglob("*.py")))
    assert said - MARKED_NOWHERE == set()


def test_no_text_of_a_page_is_left_unmarked():
    bare = {path.name: found for path in TEMPLATES if (found := bare_in(path))}
    assert bare == {}


BLOCK = re.compile(r"{#.*?#}|{% (blocktranslate|comment).*?{% end\1 %}|<(style|script).*?</\2>", re.DOTALL)
TAG = re.compile(r"{%.*?%}|{{.*?}}", re.DOTALL)
LABEL = re.compile(r"\b(?:aria-label|title|placeholder|alt|hx-confirm)=\"([^\"]*)\"")
NO_WORDS = {"g", "mm", "desk", "wide", "bench", "phone", "°"}
"""Units, which are the same in both languages, and names of styles."""


def bare_in(path):
    """What stands in a template outside its tags and is no unit."""
    text = TAG.sub("|", BLOCK.sub("", path.read_text("utf-8")))
    words = [*LABEL.findall(text), *re.sub(r"<[^>]*>", "|", text).split("|")]
    return {word.strip() for word in words if re.search("[A-Za-z]", word)} - NO_WORDS


def test_every_line_of_the_catalogue_has_its_spanish():
    text = PO.read_text("utf-8").partition("\n\n")[2]
    assert not re.findall(r'msgid .*\nmsgstr ""\n(?!")', text) and "#, fuzzy" not in text


def test_the_compiled_catalogue_is_that_of_the_text():
    for path in (PO, PO_OF_SCHOOL):
        with path.with_suffix(".mo").open("rb") as compiled:
            words = gettext.GNUTranslations(compiled)
        assert [text for text in in_catalogue(path) if text not in _texts_of_compiled(words)] == []


def _texts_of_compiled(words):
    keys = (key[0] if isinstance(key, tuple) else key for key in words._catalog)
    return {key.rpartition("\x04")[2] for key in keys}
