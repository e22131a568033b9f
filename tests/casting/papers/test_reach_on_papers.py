"""A foot beyond the sprue's reach stands on the card and beside the mount with the teacher's reason."""

import pytest

from casting.papers.pdf.render import render
from casting.papers.sheets.day_plan import day_plan_html
from casting.papers.sheets.flask_cards import flask_cards_html
from tests.casting.calc.cautions.cases import reach_day
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of
from tests.days.day_file import planned


def text_of(page):
    return " ".join(" ".join(pages_of(render(page))).split())


@pytest.mark.parametrize("paper", [flask_cards_html, day_plan_html])
def test_it_prints_with_its_figure_and_its_reason(paper, day, teacher):
    # 17 mm from the axis; hub 19/2 and reach 7 make 16.5
    text = text_of(paper(job_of(stored(day, teacher, planned(reach_day(17)), reach_day(17)))))
    assert "foot 0.5 mm beyond the sprue's reach: bent by hand to the cone." in text.replace("\u202f", " ")


@pytest.mark.parametrize("paper", [flask_cards_html, day_plan_html])
def test_a_foot_within_the_reach_prints_nothing_of_it(paper, day, teacher):
    assert "beyond the sprue" not in text_of(paper(job_of(stored(day, teacher, planned(reach_day(16)), reach_day(16)))))


def test_a_long_reason_is_cut_on_a_card_and_whole_among_the_cautions(day, teacher):
    file = reach_day(17) | {
        "reach_overruled": {"w1": "its sprue was bent by hand to the cone and welded there, looked at twice"}
    }
    job = job_of(stored(day, teacher, planned(file), file))
    assert "welded" not in text_of(flask_cards_html(job))
    assert "welded there, looked at twice" in text_of(day_plan_html(job))
