"""The kiln log: every reading beside what was planned for its minute, and what else happened at the kiln."""

import datetime as dt
import re

import pytest

from casting.models import KilnReading, StepRecord
from casting.papers.sheets.running.kiln_log import BLANK_ROWS, kiln_log_html
from tests.casting.papers.printed import job_of


def rows_of(page):
    rows = re.findall(r'<tr><th scope="row">(.*?)</th>(.*?)</tr>', page, re.DOTALL)
    return [(at, [re.sub("<[^>]*>", "", cell) for cell in re.findall(r"<td.*?</td>", rest)]) for at, rest in rows]


@pytest.fixture
def firing(plan_24):
    return plan_24.file["firings"][0]


def test_a_reading_stands_beside_its_plan_with_who_wrote_it_down(plan_24, firing, teacher):
    """By hand: ten minutes late and half way through its first ramp, a kiln is half way from 20 C to the hold."""
    segment, day = firing["segments"][0], plan_24.day
    starts, reached = (dt.datetime.fromisoformat(segment[name]) for name in ("starts_at", "reached_at"))
    late = dt.timedelta(minutes=10)
    on_at = dt.datetime.fromisoformat(firing["on_at"]) + late
    StepRecord.objects.create(day=day, do="kiln_on", what=firing["kiln"], done_at=on_at, by=teacher)
    half_c = (20 + segment["to_c"]) / 2
    at = starts + (reached - starts) / 2 + late
    KilnReading.objects.create(day=day, kiln=firing["kiln"], at=at, celsius=half_c + 30, by=teacher)
    page = kiln_log_html(job_of(plan_24))
    (_on, what), (_at, read) = rows_of(page)
    assert what[3:] == ["on", teacher.name]
    figures = [float(re.sub("[^0-9.+]", "", one)) for one in read[:3]]
    assert figures == pytest.approx([half_c + 30, half_c, 30], abs=4)
    assert read[2].startswith("+") and read[4] == teacher.name
    assert page.count("reading") == 1 and page.count('class="pencil"') == BLANK_ROWS * page.count("<section")


def test_a_night_of_which_nothing_is_noted_has_rows_for_a_pencil(plan_24):
    page = kiln_log_html(job_of(plan_24))
    assert "Nothing was noted." in page and 'class="pencil"' in page


def test_no_kiln_no_log(plan_0):
    assert kiln_log_html(job_of(plan_0)) is None


def test_what_came_out_when_is_in_the_log(plan_24, firing, teacher):
    flask = next(row for row in plan_24.file["flasks"] if row["kiln"] == firing["kiln"])
    plan_24.day.flasks.create(label=flask["label"], state="poured")
    at = dt.datetime.fromisoformat(flask["out_at"])
    StepRecord.objects.create(
        day=plan_24.day, do="pour", what=flask["label"], done_at=at, by=teacher, who="Nadia Ferro"
    )
    ((_at, cells),) = rows_of(kiln_log_html(job_of(plan_24)))
    assert cells[3:] == [f"flask {flask['label']} poured", "Nadia Ferro"]
