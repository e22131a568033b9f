"""The typesetter: our own files only, each page as if it were the only one."""

import pytest
from weasyprint.urls import FatalURLFetchingError

from casting.papers.pdf.render import KINDS, find
from casting.papers.pdf.typesetting import Signs, Typesetter

pytestmark = pytest.mark.anew

PAGE = '<html lang="en"><head><title>x</title>{head}</head><body><p>{words}</p></body></html>'
SHEET = '<link rel="stylesheet" href="paper:css/paper.css">'


@pytest.fixture(scope="module")
def setter():
    return Typesetter(find, KINDS)


def test_a_sheet_of_styles_is_read_at_its_first_use_only(setter):
    first = setter.sheet("paper:css/paper.css")
    assert setter.sheet("paper:css/paper.css") is first


def test_a_page_is_the_same_after_another(setter):
    page = PAGE.format(head=SHEET, words="the same")
    first = setter.pdf(page)
    setter.pdf(PAGE.format(head=SHEET, words="another " * 500))
    assert setter.pdf(page) == first


@pytest.mark.parametrize("address", ["https://bench.example.org/a.css", "file:///etc/hostname", "paper:css/none.css"])
def test_nothing_but_our_own_files_is_fetched(setter, address):
    with pytest.raises(FatalURLFetchingError):
        setter.pdf(PAGE.format(head=f'<link rel="stylesheet" href="{address}">', words="x"))


def test_signs_are_read_up_to_or_on_along_and_their_pattern_is_made_once():
    signs = Signs()
    up_to, along = signs[("<", "&", "\0"), False], signs[frozenset(" \t"), True]
    assert up_to.match("a ]^-b<c")[0] == "a ]^-b" and along.match(" \t x")[0] == " \t " and not along.match("x")
    assert signs[("<", "&", "\0"), False] is up_to
