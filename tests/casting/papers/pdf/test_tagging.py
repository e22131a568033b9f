"""Every paper for people who listen to it: checked with pikepdf here, and by a checker from outside.

The checker's rule DOC-012 is left out: it asks for a claim of conformity in the file, which no paper makes.
"""

import io

import outloud
import pikepdf
import pytest

from casting.papers.pdf.render import render
from casting.papers.pdf.tagging import MARKED, mend
from casting.papers.registry import PAPERS
from tests.casting.papers.printed import job_of

PAGE = (
    '<html lang="en"><head><title>A trial sheet</title><link rel="stylesheet" href="paper:css/paper.css"></head><body>'
    '<p class="running-head">At the head</p><p class="running-foot">At the foot</p><h1>A trial sheet</h1>'
    "<table><thead><tr><th>flask</th><th>metal</th></tr></thead>"
    '<tbody><tr><th>A</th><td>50.0 g</td></tr><tr><th>B</th><td class="box"></td></tr></tbody></table>'
    '<svg width="9" height="9" role="img"><title>A ring</title><circle cx="4" cy="4" r="3"/></svg></body></html>'
)


def elements(pdf):
    """Each element of a structure, with the element that it stands in."""
    waiting = [(pdf.Root.StructTreeRoot, None)]
    while waiting:
        element, parent = waiting.pop()
        if "/S" in element:
            yield element, parent
        kids = element.get("/K", [])
        for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
            if isinstance(kid, pikepdf.Dictionary) and ("/S" in kid or "/K" in kid):
                waiting.append((kid, element))


def scope_of(cell):
    rules = cell.A[0] if isinstance(cell.A, pikepdf.Array) else cell.A
    return str(rules.get("/Scope"))


def found_outside(pdf, tmp_path):
    """What the checker from outside calls an error."""
    file = tmp_path / "paper.pdf"
    file.write_bytes(pdf)
    checked = outloud.check(str(file), skip={"DOC-012"}, layers={"conformance"})
    assert checked.error is None and {one.outcome for one in checked.runs} >= {"pass"}
    return [(one.rule, one.message) for one in checked.findings if one.severity == "error"]


def check_structure(made):
    with pikepdf.open(io.BytesIO(made)) as pdf:
        assert bool(pdf.Root.MarkInfo.Marked) and bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
        assert str(pdf.Root.Lang) in {"en", "es"} and len(str(pdf.docinfo["/Title"])) > 5
        all_elements = list(elements(pdf))
        kinds = {str(element.S) for element, _parent in all_elements}
        assert {"/Document", "/H1"} <= kinds
        for element, _parent in all_elements:
            if element.S == pikepdf.Name.TH:
                assert scope_of(element) in {"/Column", "/Row"}
            if pikepdf.Name.Figure == element.S:
                assert len(str(element.Alt)) > 2
        for thing in pdf.objects:
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/FontDescriptor":
                assert "+Bench-Sans" in str(thing.FontName)
                assert "/FontFile2" in thing or "/FontFile3" in thing


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.key)
def test_every_paper_is_tagged_and_an_outside_checker_finds_no_error(plan_24, paper, tmp_path, rendered_anew):
    html = paper.html(job_of(plan_24))
    assert html is not None
    made = render(html)
    check_structure(made)
    assert found_outside(made, tmp_path) == []
    # Set again, the same revision and state of the day give the same bytes.
    assert rendered_anew(paper.html(job_of(plan_24))) == made


def test_the_checker_from_outside_sees_a_fault(tmp_path):
    # The same page, without its structure.
    made = render(PAGE)
    with pikepdf.open(io.BytesIO(made)) as pdf:
        del pdf.Root.StructTreeRoot
        spoilt = io.BytesIO()
        pdf.save(spoilt)
    assert found_outside(made, tmp_path) == []
    assert found_outside(spoilt.getvalue(), tmp_path) != []


def test_a_heading_cell_says_whether_it_heads_a_column_or_a_row():
    with pikepdf.open(io.BytesIO(render(PAGE))) as pdf:
        scopes = sorted(scope_of(cell) for cell, _parent in elements(pdf) if cell.S == pikepdf.Name.TH)
    assert scopes == ["/Column", "/Column", "/Row", "/Row"]


def test_head_and_foot_of_a_sheet_are_passed_over():
    with pikepdf.open(io.BytesIO(render(PAGE))) as pdf:
        named = {
            int(kid)
            for element, _parent in elements(pdf)
            for kid in (element.K if isinstance(element.get("/K"), pikepdf.Array) else [])
            if not isinstance(kid, pikepdf.Dictionary)
        }
        marked = [int(run[2]) for run in MARKED.finditer(pdf.pages[0].Contents.read_bytes())]
    # h1, flask, metal, A, 50.0 g, B and the ring; neither head, foot nor page number.
    assert sorted(marked) == sorted(named) and len(marked) == 7


def test_mending_twice_changes_nothing_but_the_id(rendered_anew):
    once = render(PAGE)
    assert rendered_anew(PAGE) == once
    with pikepdf.open(io.BytesIO(once)) as first, pikepdf.open(io.BytesIO(mend(once))) as second:
        assert first.pages[0].Contents.read_bytes() == second.pages[0].Contents.read_bytes()
        assert len(list(elements(first))) == len(list(elements(second)))


def test_a_file_without_a_structure_is_left_as_it_is():
    with pikepdf.new() as plain:
        plain.add_blank_page()
        bare = io.BytesIO()
        plain.save(bare)
    with pikepdf.open(io.BytesIO(mend(bare.getvalue()))) as pdf:
        assert len(pdf.pages) == 1 and "/StructTreeRoot" not in pdf.Root
