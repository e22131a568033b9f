"""A flask whose core is too hot at its quench: whoever holds the tongs reads it where the quench stands."""

import re

import pytest

from casting.papers.pdf.render import render
from casting.papers.sheets.day_plan import day_plan_html
from casting.papers.sheets.flask_cards import flask_cards_html
from casting.papers.sheets.kiln_room import kiln_room_html
from casting.papers.sheets.label_stock import stock_of
from tests.casting.calc.cautions.cases import one_flask_day
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of, places_of
from tests.casting.papers.sheets.test_flask_cards import plan_of_widths
from tests.days.day_file import planned

PAPERS = {
    "card": flask_cards_html,
    "label": lambda job: flask_cards_html(job, "a4-2x4-apart"),
    "day plan": day_plan_html,
    "kiln room": kiln_room_html,
}


SENTENCE = "Wait until 10:17 to quench A: at 10:15 its core is still about 512 °C."
SHORT = "quench, not before Sun 10:17 at 10:15 its core is about 512 °C"


@pytest.mark.parametrize(
    ("paper", "said"), [("card", SHORT), ("label", SHORT), ("day plan", SENTENCE), ("kiln room", SENTENCE)]
)
# 538 C, 102 x 102 mm: a finite-volume run with steel has its core at 514 C after 15 min, of which 5 are the pour
@pytest.mark.parametrize(("diameter_mm", "times"), [(101.6, 1), (63.5, 0)])
def test_the_quench_of_a_hot_core_says_when_instead(day, teacher, paper, said, diameter_mm, times):
    day_file = one_flask_day(diameter_mm, 10)
    text = " ".join(pages_of(render(PAPERS[paper](job_of(stored(day, teacher, planned(day_file), day_file))))))
    assert re.sub(r"\s*°C", " °C", text).count(said) == times
    assert text.count("core") - text.count("Check the quench of flask A: its core") == times


@pytest.mark.parametrize("width", [50.8, 63.5, 76.2])
@pytest.mark.parametrize("stock", ["letter-1x3", "letter-1x3-apart", "a4-1x3-apart", "letter-1x2", "a4-2x4-apart"])
def test_the_words_lie_inside_the_lowest_cards(day, teacher, stock, width):
    """With own metal, a bowl of its own, resin and pennyweights, quenched as it comes out."""
    used = stock_of(stock)
    plan, day_file = plan_of_widths(width)
    plan["flasks"][0] |= {"owner": "student-A1", "kind": "resin", "quench_at": plan["flasks"][0]["out_at"]}
    plan["bowls"] = [plan["bowls"][0] | {"flasks": ["A"], "powder_g": 1293, "water_g": 517.2}]
    for wax in day_file["waxes"]:
        wax["owner"] = "student-A1"
    row = stored(day, teacher, plan, day_file)
    row.day.course.school.paper, row.day.course.school.weight_unit = used.paper, "dwt"
    html = flask_cards_html(job_of(row), stock)
    used = stock_of(re.search(r"class=\"cards ([a-z0-9-]+)", html)[1])
    left, top = used.corner(0)
    words = {
        word: place for word, *place in places_of(render(html), 0) if top < place[1] and place[3] < top + used.height_mm
    }
    last = "under" if used.views else "cards."
    assert {"core", "538", last} <= {re.sub("°C", "", word) for word in words}
    assert all(left + 1 <= x0 and x1 <= left + used.width_mm - 1 for x0, _y0, x1, _y1 in words.values())
    assert words[last][3] <= top + used.height_mm - 0.8
