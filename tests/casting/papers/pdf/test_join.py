"""Papers joined to one PDF: order, fronts, bookmarks, tags."""

import io

import pikepdf
import pytest
from pikepdf import Array, Dictionary

from casting.papers.pdf.join import Piece, join
from casting.papers.pdf.render import render
from tests.casting.papers.reading_back import pages_of


def paper(title, *pages, lang="en"):
    """A paper with a side for each of the words, the last of them a table."""
    sides = "".join(f'<h1 style="break-after: page">{words}</h1>' for words in pages[:-1])
    table = f"<table><thead><tr><th>flask</th></tr></thead><tbody><tr><td>{pages[-1]}</td></tr></tbody></table>"
    return render(
        f'<!DOCTYPE html><html lang="{lang}"><head><title>{title}</title></head><body>{sides}{table}</body></html>'
    )


@pytest.fixture(scope="module")
def pieces():
    return [
        Piece("Day plan", paper("Day plan", "fetch", "mix", "pour")),
        Piece("Cards", paper("Cards", "flaskA", "flaskB"), fronts=True),
        Piece("Handout", paper("Handout", "first", "second")),
        Piece("Volante", paper("Volante", "cera", lang="es")),
    ]


@pytest.fixture(scope="module")
def joined(pieces):
    return join(pieces, "Papers of the day", "en")


def elements(element, kind=None):
    """The elements below one, in the order in which they are read."""
    kids = element.get("/K")
    for kid in kids if isinstance(kids, Array) else [kids]:
        if isinstance(kid, Dictionary) and "/S" in kid:
            if kind is None or str(kid.S) == kind:
                yield kid
            yield from elements(kid, kind)


def test_each_paper_begins_on_a_front_and_what_is_cut_has_blank_backs(joined):
    # 3 sides and a blank one, 2 cards with a blank back each, 2 sides, 1 side and a blank one: 4 + 4 + 2 + 2 = 12.
    words = [next((word for word in text.split() if word != "flask"), "") for text in pages_of(joined)]
    assert words == ["fetch", "mix", "pour", "", "flaskA", "", "flaskB", "", "first", "second", "cera", ""]


def test_a_bookmark_leads_to_the_front_of_each_paper(joined):
    with pikepdf.open(io.BytesIO(joined)) as pdf, pdf.open_outline() as outline:
        numbers = {page.obj.objgen: nth for nth, page in enumerate(pdf.pages)}
        leads = [(item.title, numbers[item.destination[0].objgen]) for item in outline.root]
    assert leads == [("Day plan", 0), ("Cards", 4), ("Handout", 8), ("Volante", 10)]


def test_the_tags_of_each_paper_stay_with_its_title_and_language(joined):
    with pikepdf.open(io.BytesIO(joined)) as pdf:
        root = pdf.Root.StructTreeRoot
        (document,) = root.K
        assert str(document.S) == "/Document"
        assert [(str(part.T), str(part.Lang)) for part in document.K] == [
            ("Day plan", "en"),
            ("Cards", "en"),
            ("Handout", "en"),
            ("Volante", "es"),
        ]
        assert [len(list(elements(part, "/H1"))) for part in document.K] == [2, 1, 1, 0]
        assert len(list(elements(document, "/TH"))) == 4
        pages = [page.obj.objgen for page in pdf.pages]
        assert all(element.Pg.objgen in pages for element in elements(document) if "/Pg" in element)


def test_every_page_finds_its_own_runs_in_the_tree(joined):
    with pikepdf.open(io.BytesIO(joined)) as pdf:
        numbers = list(pdf.Root.StructTreeRoot.ParentTree.Nums)
        rows = dict(zip(map(int, numbers[::2]), numbers[1::2], strict=True))
        asked = [int(page.obj.StructParents) for page in pdf.pages if "/StructParents" in page.obj]
        # 3 + 2 + 2 + 1 sides with words, each with a row of its own.
        assert sorted(asked) == sorted(rows) == list(range(8))
        for page in pdf.pages:
            if "/StructParents" in page.obj:
                of = {one.Pg.objgen for one in rows[int(page.obj.StructParents)] if isinstance(one, Dictionary)}
                assert of == {page.obj.objgen}


def test_title_and_language_stand_where_readers_look(joined):
    with pikepdf.open(io.BytesIO(joined)) as pdf:
        assert (str(pdf.docinfo["/Title"]), str(pdf.Root.Lang)) == ("Papers of the day", "en")
        assert pdf.Root.MarkInfo.Marked and pdf.Root.ViewerPreferences.DisplayDocTitle


def test_a_blank_back_is_as_large_as_its_front(joined):
    with pikepdf.open(io.BytesIO(joined)) as pdf:
        assert list(pdf.pages[3].mediabox) == list(pdf.pages[2].mediabox)


def test_the_same_papers_give_the_same_file(pieces, joined):
    assert join(pieces, "Papers of the day", "en") == joined
    assert join(pieces[:-1], "Papers of the day", "en") != joined
