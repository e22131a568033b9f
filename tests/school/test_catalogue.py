"""The Spanish catalogue of the school's own pages: whole, so that no page is half in one language."""

import ast
import re

import pytest
from django.conf import settings
from django.utils.translation.template import templatize

from tests.casting.test_catalogue import ROOT, in_catalogue

PO = ROOT / "school" / "locale" / "es" / "LC_MESSAGES" / "django.po"
MARKERS = {"_", "gettext", "gettext_lazy", "ngettext", "pgettext", "pgettext_lazy"}
MODULES = sorted(path for path in (ROOT / "school").rglob("*.py") if "migrations" not in path.parts)
TEMPLATES = sorted([*(ROOT / "templates").glob("*.html"), *(ROOT / "templates" / "school").glob("*.html")])
AT_FILTER = re.compile(r"_\((\"(?:[^\"\\]|\\.)*\"|'(?:[^'\\]|\\.)*')\)")


def texts_of(calls):
    """The texts that calls mark for the catalogue; a context counts, and does no harm."""
    for call in calls:
        if isinstance(call, ast.Call) and getattr(call.func, "id", "") in MARKERS:
            yield from (part.value for part in call.args if isinstance(part, ast.Constant) and str(part.value).strip())


def of_template(path):
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


def known():
    return {*in_catalogue(PO), *in_catalogue()}


def plurals():
    blocks = re.findall(r'^msgid_plural ((?:".*"\n)+)', PO.read_text("utf-8"), re.MULTILINE)
    return {"".join(ast.literal_eval(line) for line in block.splitlines()) for block in blocks}


@pytest.mark.parametrize("path", [*MODULES, *TEMPLATES], ids=lambda path: str(path.relative_to(ROOT)))
def test_whatever_the_school_says_is_in_the_catalogue(path):
    said = set(of_template(path) if path.suffix == ".html" else texts_of(ast.walk(ast.parse(path.read_text("utf-8")))))
    assert said - known() - plurals() == set()


def test_the_walk_finds_what_is_said():
    assert "Join a class" in set(of_template(ROOT / "templates" / "school" / "home.html"))
    join = ROOT / "school" / "names.py"
    assert "Write a name that people can read." in set(texts_of(ast.walk(ast.parse(join.read_text("utf-8")))))
    assert "es" in dict(settings.LANGUAGES)


def test_every_line_of_the_catalogue_has_its_spanish():
    text = PO.read_text("utf-8").partition("\n\n")[2]
    assert not re.findall(r'msgid .*\nmsgstr ""\n(?!")', text) and "#, fuzzy" not in text
