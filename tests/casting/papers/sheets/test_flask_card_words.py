"""The words of a flask card: what goes in, which kiln, boxes and times large enough, nothing on anything else."""

import json
import re
from itertools import combinations

import pytest

from casting.models import Flask
from casting.papers.pdf.render import render
from casting.papers.sheets.flask_cards import flask_cards_html
from casting.papers.sheets.label_stock import FIXTURES, layout_on, stock_of
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of, places_of, sizes_of, typeset_words, words_by_type
from tests.casting.papers.sheets.test_flask_cards import plan_of, plan_of_widths
from tests.casting.papers.sheets.two_owners import two_kilns
from tests.days.written_plans import at


def test_there_is_a_box_of_6_mm_for_every_step_and_a_time_of_11_points(plan_1):
    pdf = render(flask_cards_html(job_of(plan_1)))
    # The inner outline of each border, which takes 0.8 pt on both sides: 6 - 2 x 0.28.
    assert sum(box == pytest.approx((5.44, 5.44), abs=0.05) for box in sizes_of(pdf, "rect")[0]) == 7
    assert "mounted: a 6 mm pencil passes all round" in pages_of(pdf)[0]
    plan_1.day.course.school.length_unit = "in"
    # Of a flask of 2 1/2 inches; a quarter inch is a little more than 6 mm.
    card = pages_of(render(flask_cards_html(job_of(plan_1))))[0]
    assert card.count("2½ in") >= 2 and "a ¼ in pencil passes all round" in card and "63.5" not in card
    times = [size for word, size in words_by_type(pdf, 0, 7.9) if re.fullmatch(r"\d\d:\d\d", word)]
    assert len(times) == 4 and min(times) >= 11


def test_a_card_says_what_goes_into_the_bowl_that_the_flask_has_to_itself(day, teacher):
    plan, day_file = plan_of(1)
    plan["bowls"] = [plan["bowls"][0] | {"flasks": ["A"], "powder_g": 293, "water_g": 117.2}]
    bare = pages_of(render(flask_cards_html(job_of(stored(day, teacher, plan, day_file)))))[0]
    assert "powder 283 g water 113.2 g mixed in its bowl: 293 g / 117.2 g" in bare
    plan["bowls"][0] |= {"powder_g": 283, "water_g": 113.2}
    same = flask_cards_html(job_of(stored(day, teacher, plan, day_file, revision=2)))
    assert "mixed in its bowl" not in same


def test_a_bowl_of_several_flasks_is_the_mix_sheets_alone(plan_24):
    assert "mixed in its bowl" not in flask_cards_html(job_of(plan_24))


@pytest.mark.parametrize("stock", ["", "a4-2x4-apart"])
def test_the_kiln_is_named_where_the_flask_is_loaded_if_there_are_two(day, teacher, stock):
    page = " ".join(pages_of(render(flask_cards_html(job_of(stored(day, teacher, *two_kilns())), stock))))
    assert page.count("load, kiln k1 before Sat 20:25") == 2 and page.count("load, kiln k2 before Sat 20:25") == 1
    one = flask_cards_html(job_of(stored(day, teacher, *plan_of(3), revision=2)), stock)
    assert "load, " not in one


@pytest.mark.parametrize(("kind", "said"), [("wax", "3 waxes weigh"), ("resin", "3 waxes, resin weigh")])
def test_a_card_says_how_many_waxes_and_if_they_are_resin(day, teacher, kind, said):
    plan, day_file = plan_of(1)
    plan["flasks"][0]["kind"] = kind
    assert said in pages_of(render(flask_cards_html(job_of(stored(day, teacher, plan, day_file)))))[0]


def test_the_metal_of_an_invested_flask_is_whole_or_ends_in_an_ellipsis(day, teacher):
    plan, day_file = plan_of(1)
    shelf = json.loads((FIXTURES / "shelf.json").read_text())["shelf"]
    sterling = next(row for row in shelf["alloys"] if row["key"] == "sterling")
    day_file["alloys"] = [sterling | {"name": "Sterling silver of the third melting shop"}]
    row = stored(day, teacher, plan, day_file)
    Flask.objects.create(day=day, label="A", state="invested")
    text = pages_of(render(flask_cards_html(job_of(row))))[0]
    assert "invested Sterling silver of the third melt…" in text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("width", [50.8, 63.5, 76.2, 88.9, 101.6])
def test_no_time_is_broken_and_no_word_lies_on_another(day, teacher, paper, width):
    plan, day_file = plan_of_widths(width)
    plan["flasks"][0]["quench_at"] = at(30)  # so late that no core is hot
    plan = stored(day, teacher, plan, day_file)
    plan.day.course.school.paper, plan.day.course.school.weight_unit = paper, "dwt"
    words = typeset_words(render(flask_cards_html(job_of(plan))))[0]
    for word in words:
        if re.fullmatch(r"\d\d:\d\d", word.text):
            assert any(one.text in ("Sat", "Sun", "Fri") and abs(one.bottom - word.bottom) < 2 for one in words)
    for one, other in combinations(words, 2):
        across = min(one.x1, other.x1) - max(one.x0, other.x0)
        down = min(one.bottom, other.bottom) - max(one.top, other.top)
        assert across < 0.5 or down < 3, (one.text, other.text)


@pytest.mark.parametrize("width", [50.8, 63.5, 76.2])
@pytest.mark.parametrize("stock", ["letter-1x3", "letter-1x3-apart", "a4-1x3-apart", "letter-1x2"])
def test_the_most_words_that_a_card_may_have_lie_inside_it(day, teacher, stock, width):
    """Own metal, a bowl of its own, resin and pennyweights, on the lowest cards."""
    used = stock_of(stock)
    if not layout_on(used, width, 3):
        assert width > 63.5
        return
    plan, day_file = plan_of_widths(width)
    plan["flasks"][0] |= {"owner": "student-A1", "kind": "resin"}
    plan["bowls"] = [plan["bowls"][0] | {"flasks": ["A"], "powder_g": 1293, "water_g": 517.2}]
    for wax in day_file["waxes"]:
        wax["owner"] = "student-A1"
    row = stored(day, teacher, plan, day_file)
    row.day.course.school.paper, row.day.course.school.weight_unit = used.paper, "dwt"
    html = flask_cards_html(job_of(row), stock)
    left, top = used.corner(0)
    words = [word for word in places_of(render(html), 0) if word[2] > top and word[4] < top + used.height_mm + 25]
    assert {"mixed", "resin", "own", "break", "water"} <= {word[0].strip(",") for word in words}
    for word, x0, _y0, x1, y1 in words:
        if word in ("break", "out,", "clean", "under"):
            assert left + 1 <= x0 and x1 <= left + used.width_mm - 1 and y1 <= top + used.height_mm - 1, word
