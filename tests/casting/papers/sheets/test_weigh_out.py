"""The weigh-out list: read back from the PDF and compared with the plan."""

import json
import re

import pytest

from casting.papers.pdf.render import render
from casting.papers.sheets.mix import mix_html
from casting.papers.sheets.weigh_out import fresh_at_least, metals_of, weigh_out_html
from casting.presenters.plan_reader import read_plan
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of
from tests.casting.papers.sheets.test_day_plan import words_of
from tests.casting.papers.sheets.two_owners import one_alloy, plan_of_two_owners, two_kilns
from tests.days import written_plans
from tests.days.day_file import a_day_file, planned, wax_row
from tests.days.written_plans import as_text, band_row, day_with, plan_of_24, plan_with


def test_every_bag_stands_on_the_weigh_out_list_with_its_charge(plan_24):
    text = words_of(render(weigh_out_html(job_of(plan_24))))
    for one in json.loads(plan_24.plan_file)["flasks"]:
        # 119.5 g: half is 59.75, up to the next tenth 59.8.
        assert f"{one['label']} {one['charge_g']:.1f} g 59.8 g" in text
    # 8 bags of 119.5 g.
    assert "Sterling silver: 956.0 g" in text and "8 bags 956.0 g 478.4 g" in text


def test_the_sums_stand_where_the_metal_and_the_powder_are_weighed(plan_1):
    text = words_of(render(weigh_out_html(job_of(plan_1))))
    # 3.20 / 0.96 x 10.36 = 34.53; with 15.00 of button 49.53, up to 50.0.
    assert "A w1: 3.20 g wax / 0.96 × 10.36 = 34.53 g" in text
    assert "34.53 g + button 15.00 g = 49.53 g, up to the next 0.5 g = 50.0 g" in text
    # 63.5 / 2 squared x pi x 63.5 = 201.1 ml.
    assert "the flask holds 201.1 ml" in words_of(render(mix_html(job_of(plan_1))))


def test_half_fresh_stands_with_its_source(plan_24):
    text = words_of(render(weigh_out_html(job_of(plan_24))))
    assert "At least 50 % of every charge is fresh." in text
    assert "More than half scrap is not advised (published by a metal supplier" in text


@pytest.mark.parametrize(("charge_g", "fresh_g"), [(50.0, 25.0), (49.5, 24.8), (0.1, 0.1), (119.5, 59.8)])
def test_half_is_never_rounded_down(charge_g, fresh_g):
    # Worked by hand: half of 49.5 is 24.75, of 0.1 is 0.05, of 119.5 is 59.75; each up to the next 0.1 g.
    assert fresh_at_least(charge_g) == pytest.approx(fresh_g)


def test_what_is_published_for_silver_is_not_said_of_bronze(plan_24):
    plan, day_file = plan_of_24()
    bronze = {"key": "si-bronze", "name": "Silicon bronze", "composition_pct": {"Cu": 95, "Si": 4, "Mn": 1}}
    sheet = read_plan(*as_text(plan, day_file))
    assert metals_of(sheet)[0].published
    alloys = {"alloys": [one_alloy(bronze)], "waxes": [one | {"alloy": "si-bronze"} for one in day_file["waxes"]]}
    for one in plan["flasks"]:
        one["alloy"] = "si-bronze"
    plan["totals"]["charge_g"] = {"si-bronze": 956.0}
    assert not metals_of(read_plan(*as_text(plan, day_file | alloys)))[0].published


def test_a_students_own_metal_is_weighed_apart(plan_own):
    (metal,) = metals_of(read_plan(plan_own.plan_file, plan_own.day_file))
    assert [[one.label for one in bags.flasks] for bags in metal.bags] == [["A", "C"], ["B"]]
    # Bags of 119.5 g: two of the school's, one of the student's, three in all.
    assert [bags.charge_g for bags in metal.bags] == [239.0, 119.5]
    text = words_of(render(weigh_out_html(job_of(plan_own))))
    assert "The school's metal" in text and "2 bags 239.0 g 119.6 g" in text
    assert "Own metal of student-B1: not from the safe" in text and "1 bag 119.5 g 59.8 g" in text
    # The heading is what leaves the safe, and only that metal has a stock: nobody fetches a student's from it.
    assert "Sterling silver: 239.0 g from the safe; 119.5 g more is students' own" in text
    assert text.count("stock before") == 1


def test_what_students_bring_is_weighed_in_pennyweights_where_the_school_weighs_so(plan_own, day):
    type(day.course.school).objects.filter(pk=day.course.school_id).update(weight_unit="dwt")
    plan_own.refresh_from_db()
    text = words_of(render(weigh_out_html(job_of(plan_own))))
    # 119.5 g / 1.55517384 = 76.84 dwt.
    assert re.search(r"from the safe; 76\.8\d* dwt .*more is students' own", text), text[:600]


def test_a_metal_that_only_students_bring_has_no_stock(day, teacher):
    plan, day_file = plan_of_two_owners()
    plan["flasks"] = [one for one in plan["flasks"] if one["label"] == "B"]
    plan["totals"]["charge_g"] = {"sterling": 119.5}
    text = words_of(render(weigh_out_html(job_of(stored(day, teacher, plan, day_file)))))
    assert "Sterling silver nothing from the safe: students' own" in text and "stock before" not in text


def test_a_school_of_pennyweights_reads_them_first(plan_24):
    plan_24.day.course.school.weight_unit = "dwt"
    page = weigh_out_html(job_of(plan_24))
    # 119.5 g / 1.55517384 = 76.8403 dwt, up to 76.85; half, 59.8 g, is 38.4523, up to 38.46; 956.0 is 614.7223.
    for dwt, grams in (("76.85", "119.5"), ("38.46", "59.8"), ("614.73", "956.0")):
        assert f"<b>{dwt}\u202fdwt</b> <small>{grams} g</small>" in page
    assert "stock before, dwt" in page


def test_the_kiln_is_named_where_two_are_fired(day, teacher):
    plan, day_file = two_kilns()
    text = words_of(render(weigh_out_html(job_of(stored(day, teacher, plan, day_file)))))
    assert "Sun 10:00 kiln k1" in text and "Sun 10:16 kiln k2" in text
    assert "kiln k" not in words_of(render(weigh_out_html(job_of(stored(day, teacher, *plan_of_two_owners(), 2)))))


def test_no_sheet_holds_a_title_or_a_sentence_alone(day, teacher):
    # Twelve flasks of one metal: more than a sheet holds with their sums.
    plan, day_file = plan_of_24()
    for paper in ("A4", "Letter"):
        day.course.school.paper = paper
        pages = pages_of(render(weigh_out_html(job_of(stored(day, teacher, plan, day_file, 2 + len(paper))))))
        assert "A 119.5 g" in pages[0].replace("\u202f", " ") and "Re-used metal is clean" in pages[0]
        assert all(len(page) > 400 for page in pages)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("many", [12, 15, 18])
def test_a_bag_is_never_parted_from_its_sums_nor_the_total_from_the_last_bag(day, teacher, paper, many):
    day.course.school.paper = paper
    waxes = [band_row(f"W{nth:02}") for nth in range(many)]
    flasks = [written_plans.flask("ABCDEFGHIJKLMNOPQR"[nth], [(f"W{nth:02}", 0, 14, 0)], nth) for nth in range(many)]
    plan = stored(day, teacher, plan_with(flasks), day_with(waxes))
    pages = [page.replace("\u202f", " ") for page in pages_of(render(weigh_out_html(job_of(plan))))]
    for flask in flasks:
        (sheet,) = [page for page in pages if f"{flask['label']} W" in page]
        assert f"{flask['label']} {flask['charge_g']:.1f} g" in sheet
    # Whose metal it is stands over every part of the list, and the stock under the total.
    assert len(pages) > 1 and all("Sterling silver. The school's metal" in page for page in pages)
    (last,) = [page for page in pages if f"{many} bags" in page]
    assert last is pages[-1] and "stock before" in last and f"{flasks[-1]['label']} W" in last


@pytest.mark.parametrize("words", ["fresh", "re-used", "spare", "stock before", "stock after", "weighed by"])
def test_the_weigh_out_list_has_room_to_write(plan_1, words):
    assert words in words_of(render(weigh_out_html(job_of(plan_1))))


def test_the_melter_is_told_of_borax_and_bronze_of_a_pickle_of_its_own(day, teacher, plan_24):
    silver = words_of(render(weigh_out_html(job_of(plan_24))))
    assert "glaze a new crucible with borax" in silver and "pickle" not in silver
    day_file = a_day_file([wax_row("w1", alloy="si-bronze")])
    bronze = words_of(render(weigh_out_html(job_of(stored(day, teacher, planned(day_file), day_file, revision=2)))))
    assert "Give it a pickle of its own" in bronze
