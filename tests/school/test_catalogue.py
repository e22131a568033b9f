"""The Spanish catalogue of the school's own pages: whole, so that no page is half in one language."""

import re

import pytest
from django.conf import settings

from tests.casting.test_catalogue import PO_OF_SCHOOL, ROOT, known, marked_in

MODULES = sorted(path for path in (ROOT / "school").rglob("*.py") if "migrations" not in path.parts)
TEMPLATES = sorted([*(ROOT / "templates").glob("*.html"), *(ROOT / "templates" / "school").glob("*.html")])


@pytest.mark.parametrize("path", [*MODULES, *TEMPLATES], ids=lambda path: str(path.relative_to(ROOT)))
def test_whatever_the_school_says_is_in_the_catalogue(path):
    assert marked_in(path) - known() == set()


def test_the_walk_finds_what_is_said():
    assert "Join a class" in marked_in(ROOT / "templates" / "school" / "join.html")
    assert "Write a name that people can read." in marked_in(ROOT / "school" / "names.py")
    assert "es" in dict(settings.LANGUAGES)


def test_every_line_of_the_catalogue_has_its_spanish():
    text = PO_OF_SCHOOL.read_text("utf-8").partition("\n\n")[2]
    assert not re.findall(r'msgid .*\nmsgstr ""\n(?!")', text) and "#, fuzzy" not in text
