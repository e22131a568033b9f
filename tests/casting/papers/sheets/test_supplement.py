"""The supplement to the handout: the flasks of the day, nobody's name, what the handout could not say."""

import re

import pytest
from django.utils.translation import override

from casting.calc.values.enums import Level
from casting.models import CautionCleared
from casting.papers.pdf.render import render
from casting.papers.printing import papers_of
from casting.papers.registry import PAPERS
from casting.papers.sheets import supplement
from casting.papers.sheets.supplement import added_to, supplement_es_html, supplement_html
from casting.presenters.cautions import cautions_of_day
from casting.presenters.formats import day_clock, degrees, to_weigh
from casting.presenters.opened_plan import OpenedPlan
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of, places_of, words_by_type
from tests.casting.papers.sheets.test_handout import raised
from tests.casting.papers.sheets.two_owners import plan_of_two_owners, two_kilns
from tests.days import written_plans
from tests.days.written_plans import CAUTION, band_row, day_with, plan_of_one, plan_with


def new_stop(day, teacher, text="Leave flask A in the kiln until the teacher says now."):
    """A plan with a STOP of the day that nothing offered has raised."""
    plan, day_file = plan_of_one()
    stop = CAUTION | {"id": "R-36", "level": "STOP", "when": "pour", "text": text}
    return stored(day, teacher, plan | {"cautions": [stop]}, day_file)


def test_every_flask_stands_on_it_with_metal_charge_heat_and_times(plan_24):
    (text,) = pages_of(render(supplement_html(job_of(plan_24))))
    opened = OpenedPlan(plan_24)
    for flask in opened.sheet.flasks:
        row = (
            f"{flask.label} {flask.alloy.name}", f"{to_weigh(flask.charge_g)} g", degrees(flask.flask_c, opened.units),
            degrees(flask.pour_c, opened.units), day_clock(flask.out_at), f"{flask.quench_at:%H:%M}",
        )  # fmt: skip
        assert text.replace("\u202f", " ").count(" ".join(row).replace("\u202f", " ")) == 2, row


def test_nobody_is_named_and_nobodys_wax(plan_24):
    page = supplement_html(job_of(plan_24))
    for flask in OpenedPlan(plan_24).sheet.flasks:
        for on_base in flask.waxes:
            assert on_base.name.student not in page
            assert not re.search(rf">\s*{re.escape(on_base.name.tag)}\s*<", page)


def test_without_a_flask_there_is_none(plan_0):
    assert supplement_html(job_of(plan_0)) is None and supplement_es_html(job_of(plan_0)) is None


@pytest.mark.parametrize(("paper", "middle_mm"), [("A4", 148.5), ("Letter", 139.7)])
def test_it_is_the_same_half_sheet_twice_cut_across_the_middle(plan_24, paper, middle_mm):
    plan_24.day.course.school.paper = paper
    made = render(supplement_html(job_of(plan_24)))
    assert len(pages_of(made)) == 1
    titles = [top for word, _left, top, _right, _bottom in places_of(made, 0) if word == "Our"]
    assert len(titles) == 2 and titles[0] < middle_mm < titles[1] < middle_mm + 10
    above = [bottom for _word, _left, top, _right, bottom in places_of(made, 0) if top < middle_mm]
    assert max(above) < middle_mm - 2
    assert min(size for _word, size in words_by_type(made, 0, 0)) >= 7


def test_what_takes_more_than_half_a_sheet_has_the_whole_of_one(plan_24, monkeypatch):
    # Eight flasks, nothing new.
    assert supplement_html(job_of(plan_24)).count("<h1>") == 2
    monkeypatch.setattr(supplement, "HALF_SHEET_MM", {"A4": 80})
    assert supplement_html(job_of(plan_24)).count("<h1>") == 1


@pytest.mark.parametrize(("paper", "middle_mm"), [("A4", 148.5), ("Letter", 139.7)])
@pytest.mark.parametrize("many", [*range(10, 16)])
def test_it_is_cut_through_no_line_whatever_the_number_of_flasks(day, teacher, paper, middle_mm, many):
    day.course.school.paper = paper
    waxes = [band_row(f"W{nth:02}") for nth in range(many)]
    flasks = [written_plans.flask("ABCDEFGHIJKLMNO"[nth], [(f"W{nth:02}", 0, 14, 0)], nth) for nth in range(many)]
    made = render(supplement_html(job_of(stored(day, teacher, plan_with(flasks), day_with(waxes)))))
    (text,) = pages_of(made)
    copies = text.count("Not on the handout")
    # Ten have room twice, fifteen have not; between them it depends on what is new.
    assert copies == {10: 2, 15: 1}.get(many, copies)
    across = [word for word, _left, top, _right, bottom in places_of(made, 0) if top - 2 < middle_mm < bottom + 2]
    assert not across or copies == 1


def test_the_kiln_is_named_where_two_are_fired(day, teacher):
    two, one = two_kilns(), plan_of_two_owners()
    (text,) = pages_of(render(supplement_html(job_of(stored(day, teacher, *two)))))
    # Twice on the sheet: flask C, and A and B.
    assert text.count("(kiln k2)") == 2 and text.count("(kiln k1)") == 4
    assert "kiln k1" not in supplement_html(job_of(stored(day, teacher, *one, revision=2)))


def test_the_fullest_half_sheet_still_ends_above_the_cut(day, teacher, monkeypatch):
    text = "Do not pour flask A before its own line is read. " * 4
    plan = new_stop(day, teacher, text[:159].strip())
    more = [raised("N-14-fast", f"{text[:150]} {nth}.") for nth in range(7)]
    monkeypatch.setattr(OpenedPlan, "cautions", more)
    day.course.school.paper = "Letter"
    made = render(supplement_html(job_of(plan)))
    assert len(pages_of(made)) == 1 and pages_of(made)[0].count("Not on the handout") == 2
    above = [bottom for _word, _left, top, _right, bottom in places_of(made, 0) if top < 139.7]
    assert max(above) < 139.7


def test_a_new_stop_stands_on_it_and_one_of_the_handout_does_not(day, teacher):
    plan = new_stop(day, teacher)
    page = supplement_html(job_of(plan))
    assert "Leave flask A in the kiln until the teacher says now." in page
    assert "No new STOP" not in page and "wet or cold" not in page.lower()
    CautionCleared.objects.create(
        day=day, caution="R-36", text="Leave flask A in the kiln until the teacher says now.",
        by="Imre Valdane", reason="I lift it out myself",
    )  # fmt: skip
    assert "Cleared by Imre Valdane: I lift it out myself" in supplement_html(job_of(plan))


def test_what_the_handout_says_in_any_words_is_not_said_again():
    given = [raised("R-21"), raised("R-16b"), raised("R-14a")]
    assert added_to(given, given) == []
    # The box speaks for R-16b in its own words, whatever its figures are now; a step speaks for R-14a, a WARN.
    assert added_to(given, [raised("R-16b", "Light no torch: 3 days since its test.")]) == []
    other = raised("R-20a", "Somebody must watch kiln K2.")
    assert other.level is Level.WARN and added_to([*given, other], [*given, other]) == [other]


def test_a_stop_that_the_handout_only_counts_is_said_here():
    # 8 lines of the box always stand; of its 18 rows the last counts, so 9 of 12 firings stand there.
    firings = [raised("N-14-fast", f"Do not use firing {nth}.") for nth in range(12)]
    assert added_to(firings, firings) == firings[9:]
    cleared = [raised("N-14-fast", f"Firing {nth}.", cleared_by="Imre", reason="Seen to") for nth in range(9)]
    assert added_to(cleared, cleared) == cleared[7:]


def test_nothing_new_says_so_and_what_is_not_poured_is_named(day, teacher, plan_24):
    offered = {one.as_raised for one in cautions_of_day(day)}
    assert any(one.as_raised in offered for one in OpenedPlan(plan_24).cautions)
    day.alloys.add(type(day.alloys.first()).objects.get(school=day.course.school, key="brass"))
    assert "On the handout, but not poured: " in supplement_html(job_of(plan_24))
    assert "Yellow brass" in supplement_html(job_of(plan_24))


def test_spanish_is_spanish(day, teacher):
    page = supplement_es_html(job_of(new_stop(day, teacher)))
    assert '<html lang="es">' in page and "ALTO" in page and "dom 14 mar 2027" in page
    assert '<span lang="en">Leave flask A' in page
    text = re.sub(r'<span lang="en">[^<]*</span>|<[^>]*>', " ", page.partition("<body")[2])
    assert not re.search(r"\b(the|with|and|flask|pour|quench|weighed|new|not)\b", text)


@pytest.mark.parametrize("key", ["teacher-safety", "day-plan", "weigh-out", "slips", "kiln-room", "flask-cards"])
def test_no_word_of_the_spanish_sheets_strays_into_english_ones(plan_24, key):
    (paper,) = [paper for paper in PAPERS if paper.key == key]
    with override("es"):
        page = papers_of(plan_24.day, plan_24).page(paper)
    text = re.sub(r"<[^>]*>", " ", page.html.partition("<h1")[2])
    assert not re.search(r"\b(cilindro|colada|pesar|desde|nombre|consta|paso|sí)\b", text, re.IGNORECASE)


def test_a_charge_is_in_the_schools_own_unit(plan_24):
    charges = [flask.charge_g for flask in OpenedPlan(plan_24).sheet.flasks]
    assert f"{to_weigh(charges[0])} g" in supplement_html(job_of(plan_24))
    plan_24.day.course.school.weight_unit = "dwt"
    page = supplement_html(job_of(plan_24))
    # 119.5 g / 1.55517384 = 76.8403 dwt, up to 76.85.
    assert charges[0] == 119.5 and "76.85\u202fdwt" in page and " g</td>" not in page
