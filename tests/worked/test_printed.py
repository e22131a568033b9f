"""The figures worked by hand, read back from the papers of their days, and every figure there beside the plan file."""

from __future__ import annotations

import json
from typing import Any

import pytest

from casting.papers.pdf.render import render
from casting.papers.registry import PAPERS
from tests.casting.papers.conftest import stored
from tests.casting.papers.cross_check import READERS, cross_check, read_back
from tests.casting.papers.cross_wanted import Wanted
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of
from tests.casting_factories import DayFactory
from tests.factories import PersonFactory
from tests.worked.test_worked import plan_of, said_in, text_of, working_of

PRINTED: dict[str, dict[str, bytes]] = {}
"""The papers of each day, typeset once."""


@pytest.fixture
def printed(db):
    """The papers of a day, at a school of Denver's height that reads Fahrenheit and a gauge in inches of mercury."""

    def typeset(day: str) -> dict[str, bytes]:
        if day not in PRINTED:
            PRINTED[day] = _papers(day)
        return PRINTED[day]

    return typeset


def _papers(day: str) -> dict[str, bytes]:
    given: dict[str, Any] = json.loads(text_of(day, "day.json"))
    casting_day = DayFactory()
    school = casting_day.course.school
    school.elevation_m, school.temperature_unit, school.paper = given["elevation_m"], "F", "Letter"
    school.save()
    job = job_of(stored(casting_day, PersonFactory(school=school), plan_of(day), given))
    wanted = {*READERS, "teacher-safety"}
    return {one.key: render(html) for one in PAPERS if one.key in wanted and (html := one.html(job))}


@pytest.mark.parametrize(("day", "paper", "phrases"), said_in("printed"))
def test_the_paper_prints_what_was_worked_by_hand(day: str, paper: str, phrases: list[str], printed):
    text = " ".join(pages_of(printed(day)[paper]))
    assert [phrase for phrase in phrases if phrase not in text] == []


def test_the_gauge_s_number_is_denver_s(printed):
    assert f"{working_of('two_kilns')['gauge_read']:g} inHg or more" in pages_of(printed("two_kilns")["mix"])[-1]


def test_the_kiln_is_alone_an_hour_longer_than_the_clocks_show(printed):
    hours, minutes = (working_of("two_kilns")[f"alone_{unit}"] for unit in ("hours", "minutes"))
    text = " ".join(pages_of(printed("two_kilns")["teacher-safety"]))
    assert f"by this plan {hours:g} h {minutes:g} min" in text


def test_every_figure_of_the_papers_agrees_with_the_plan_file(printed):
    papers = {key: pdf for key, pdf in printed("two_kilns").items() if key in READERS}
    given = json.loads(text_of("two_kilns", "day.json"))
    checked = cross_check(read_back(papers), Wanted(plan_of("two_kilns"), given, fahrenheit=True))
    assert [str(one) for one in checked.differences] == []
    # 423 figures, less a tenth: a reader that finds nothing compares nothing.
    assert checked.compared.total() >= 380
