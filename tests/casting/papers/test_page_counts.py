"""How many sheets each paper takes for a class of 1, 24 and 60, and that nothing runs over their edges."""

import functools
import json
import math

import pytest

from casting.models import Alloy, Flask
from casting.papers.pdf.render import render
from casting.papers.registry import PAPERS
from casting.papers.sheets.day_plan import day_plan_html
from casting.papers.sheets.handout import handout_html
from casting.papers.sheets.mix import mix_html
from casting.papers.sheets.slips import slips_html
from casting.papers.sheets.supplement import supplement_html
from casting.papers.sheets.weigh_out import weigh_out_html
from casting.presenters.plan_reader import read_plan
from casting.presenters.plan_sheet import WaxName
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import MM_PER_POINT, page_sizes_of, pages_of, typeset_words
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.days.class_day import class_day
from tests.days.day_file import planned

SIZES = (1, 24, 60)

# The most sheets of a paper for those sizes of class; kiln room and flask cards follow from their plan.
MOST = {
    "poster": (1, 1, 1),
    "handout": (2, 2, 2),
    "handout-es": (2, 2, 2),
    "teacher-safety": (4, 4, 4),
    "supplement": (1, 1, 2),
    "supplement-es": (1, 1, 2),
    "day-plan": (1, 2, 4),
    "mix": (1, 1, 2),
    "weigh-out": (1, 2, 4),
    "weigh-back": (1, 2, 5),
    "slips": (1, 4, 9),
}
# The same for every class, but for a figure here and there: tried with the largest alone.
ALIKE = {"poster", "handout", "handout-es", "teacher-safety", "supplement", "supplement-es"}

# What is set large line by line, so that a large last line is no heading.
ALL_LARGE = {"poster", "kiln-room", "flask-cards", "slips"}


@functools.cache
def plan_of(waxes, seed=100):
    """A mixed class, planned once for all tests here."""
    day = class_day(seed, waxes)
    return json.dumps(planned(day, effort=1)), json.dumps(day)


def stored_plan(day, teacher, waxes, seed=100):
    return stored(day, teacher, *(json.loads(text) for text in plan_of(waxes, seed)))


def most(paper, waxes):
    """The most sheets of that paper."""
    sheet = read_plan(*plan_of(waxes))
    if paper == "flask-cards":
        return len(sheet.flasks)
    if paper == "kiln-room":
        # By the pours alone: a night, seven pours to a sheet, a back with shelf and firing, an empty back.
        return sum(3 + math.ceil(len(night.flasks) / 7) for night in sheet.kilns)
    return MOST[paper][SIZES.index(waxes)]


def check_edges(pdf, headings=True):
    """No word nearer to the sides than 10 mm, none in the foot; if asked, no heading last on a sheet."""
    for (width, height), words in zip(page_sizes_of(pdf), typeset_words(pdf), strict=True):
        foot = min((word.top for word in words if word.text == "reminder"), default=height)
        for word in words:
            assert word.x0 * MM_PER_POINT >= 9.9, word.text
            assert (width - word.x1) * MM_PER_POINT >= 9.9, word.text
        body = [word for word in words if word.top < foot - 2]
        assert all(word.bottom <= foot + 0.5 for word in body)
        last = max(word.bottom for word in body)
        line = [word for word in body if word.bottom > last - 3]
        assert not headings or min(word.size for word in line) < 11.5, " ".join(word.text for word in line)


@pytest.mark.parametrize(
    ("paper", "waxes"),
    [(paper, waxes) for paper in PAPERS for waxes in (SIZES[-1:] if paper.key in ALIKE else SIZES)],
    ids=lambda value: str(getattr(value, "key", value)),
)
def test_a_paper_takes_no_more_sheets_than_it_should(day, teacher, paper, waxes):
    pdf = render(paper.html(job_of(stored_plan(day, teacher, waxes))))
    assert 1 <= len(pages_of(pdf)) <= most(paper.key, waxes)
    check_edges(pdf, headings=paper.key not in ALL_LARGE)


# The four of ten classes, 100 to 109, that need most flasks; the fullest, 101, on both sheets.
@pytest.mark.parametrize(
    ("paper", "units", "seed"),
    [
        ("A4", ("g", "C"), 101),
        ("A4", ("g", "C"), 104),
        ("Letter", ("dwt", "F"), 101),
        ("Letter", ("dwt", "F"), 107),
        ("Letter", ("dwt", "F"), 109),
    ],
)
def test_a_mixed_class_of_24_in_two_kilns_has_its_day_on_two_sides(day, teacher, paper, units, seed):
    school = day.course.school
    school.paper, (school.weight_unit, school.temperature_unit) = paper, units
    school.save()
    pdf = render(day_plan_html(job_of(stored_plan(day, teacher, 24, seed))))
    assert {round(height * MM_PER_POINT) for _width, height in page_sizes_of(pdf)} == {297 if paper == "A4" else 279}
    assert len(pages_of(pdf)) <= 2
    check_edges(pdf)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_day_half_done_has_its_day_plan_on_two_sides_and_its_mix_sheet_on_one(day, teacher, paper):
    """The fullest of those classes; every bowl that is mixed but one has a flask that is not invested."""
    school = day.course.school
    school.paper, school.weight_unit, school.temperature_unit, school.length_unit = paper, "dwt", "F", "in"
    school.save()
    job = job_of(stored_plan(day, teacher, 24, 101))
    assert len(pages_of(render(mix_html(job)))) == 1
    for label, state in dict.fromkeys("AB", "poured").items() | dict.fromkeys("CDEF", "invested").items():
        Flask.objects.create(day=day, label=label, state=state)
    job = job_of(job.opened.plan)
    for html, sides in ((day_plan_html, 2), (mix_html, 1)):
        pdf = render(html(job))
        assert len(pages_of(pdf)) == sides
        check_edges(pdf)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_names_and_pieces_of_every_length_leave_the_fullest_day_in_its_place(day, teacher, paper, monkeypatch):
    seed = 101  # Twelve flasks, the most of those classes.
    names = ["Jo Ng, ring", "Maximiliana Renn, leaf pendant", "Wilhelmina Featherstonehaugh, signet ring with crest"]
    waxes = json.loads(plan_of(24, seed)[1])["waxes"]
    called = {
        one["key"]: WaxName(f"{'ABCDEFGHJKMNPQRSTVWXYZ'[nth % 22]}{nth // 22 + 2}", *names[nth % 3].split(", "))
        for nth, one in enumerate(waxes)
    }
    monkeypatch.setattr("casting.presenters.opened_plan.names_of", lambda day, on_paper: called)
    day.course.school.paper = paper
    day.course.school.save()
    pdf = render(day_plan_html(job_of(stored_plan(day, teacher, 24, seed))))
    assert len(pages_of(pdf)) == 2
    check_edges(pdf)


@pytest.mark.parametrize("html", [day_plan_html, mix_html, weigh_out_html])
def test_names_without_end_run_over_no_edge(day, teacher, html, monkeypatch):
    names = ("M" * 10_000, "Wolfeschlegelsteinhausenbergerdorff " * 9)
    waxes = json.loads(plan_of(24)[1])["waxes"]
    called = {one["key"]: WaxName("K7", names[nth % 2], names[nth % 2]) for nth, one in enumerate(waxes)}
    monkeypatch.setattr("casting.presenters.opened_plan.names_of", lambda day, on_paper: called)
    pdf = render(html(job_of(stored_plan(day, teacher, 24))))
    assert len(pages_of(pdf)) <= 3
    check_edges(pdf)


@pytest.mark.parametrize("name", ["M" * 80, "Sterling of the cooperative refinery by the old harbour " + "f" * 24])
def test_a_long_name_of_a_metal_runs_over_no_edge_and_over_no_other_word(day, student, teacher, name):
    sterling = Alloy.objects.get(school=day.course.school, key="sterling")
    handed_in(day, student, alloy=sterling)
    Alloy.objects.filter(pk=sterling.pk).update(name=name)
    # Nickel and too hot for gypsum: both of them named on the handout.
    Alloy.objects.filter(pk=sterling.pk).update(composition_pct={"Ag": 80, "Ni": 20})
    job = job_of(make_plan(day, teacher))
    for html in (handout_html, supplement_html, day_plan_html, weigh_out_html, slips_html):
        pdf = render(html(job))
        check_edges(pdf, headings=False)
        for words in typeset_words(pdf):
            for nth, one in enumerate(words):
                over = [
                    other.text
                    for other in words[nth + 1 :]
                    if min(one.x1, other.x1) - max(one.x0, other.x0) > 2
                    and min(one.bottom, other.bottom) - max(one.top, other.top) > 3
                ]
                assert not over, (one.text, over)
