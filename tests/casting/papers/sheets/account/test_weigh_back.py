"""The weigh-back sheet: a box for every casting of every flask, and a pickle of its own for bronze."""

import json
import re

from casting.papers.pdf.render import render
from casting.papers.sheets.account.weigh_back import metals_back, weigh_back_html
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of, words_by_type
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def words(page):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page))


def test_each_flask_has_a_line_for_each_casting(plan_24):
    page = weigh_back_html(job_of(plan_24))
    flasks = plan_24.file["flasks"]
    assert page.count('class="flask-back"') == len(flasks) == page.count('class="boxes"')
    tags = re.findall(r'class="tag">(\w+)<', page)
    assert sorted(tags) == sorted(wax["key"] for flask in flasks for wax in flask["waxes"])
    planned = [float(one) for one in re.findall(r"planned ([\d.]+) g", words(page))]
    assert sorted(planned) == sorted(flask["charge_g"] for flask in flasks)


def test_each_flask_stays_whole_on_a_side_and_names_its_metal_where_the_heading_is_on_another(plan_24):
    pdf = render(weigh_back_html(job_of(plan_24)))
    flasks = {one["label"]: len(one["waxes"]) for one in plan_24.file["flasks"]}
    whole, sides = {}, pages_of(pdf)
    for text in sides:
        for label, rest in re.findall(r"\b([A-Z]) Sterling silver, planned (.*?)melts so far by", text, re.DOTALL):
            whole[label] = rest.count("casting, g")
    assert whole == flasks and len(sides) > 1


def test_a_tree_begins_below_the_heading_and_its_head_stands_on_both_its_sides(plan_24):
    flask = plan_24.file["flasks"][0]
    waxes = [wax for one in plan_24.file["flasks"] for wax in one["waxes"]] * 2
    plan_24.plan_file = json.dumps(plan_24.file | {"flasks": [flask | {"waxes": waxes[:36]}]})
    plan_24.__dict__.pop("file", None)
    first, second = pages_of(render(weigh_back_html(job_of(plan_24))))
    assert "Weigh-back sheet" in first and first.count("casting, g") > 15
    assert "A Sterling silver, planned 119.5 g" in first and "A Sterling silver, planned 119.5 g" in second
    assert first.count("casting, g") + second.count("casting, g") == 36 and "melts so far" in second


def test_the_type_is_as_large_on_letter_as_on_a4(plan_24):
    sizes = {}
    for paper in ("A4", "Letter"):
        plan_24.day.course.school.paper = paper
        words = words_by_type(render(weigh_back_html(job_of(plan_24))), 0, 0)
        sizes[paper] = {
            (word, size) for word, size in words if word in ("student-A1", "casting,", "planned", "Sterling")
        }
    assert sizes["A4"] == sizes["Letter"] and len(sizes["A4"]) >= 4


def test_bronze_has_its_own_pickle_and_silver_is_told_its_loss(day, student, teacher):
    handed_in(day, student)
    handed_in(day, student, alloy=day.alloys.get(key="si-bronze"))
    handed_in(day, student, own_metal=True)
    plan = make_plan(day, teacher)
    page = words(weigh_back_html(job_of(plan)))
    assert page.count("Give it a pickle of its own") == 1
    assert "Up to 2 % lost is usual" in page and "Up to 3 % lost is usual" in page
    assert "Own metal of Sunniva Okoro: everything back to the last gram" in page


def test_no_flask_no_sheet(day, student, teacher):
    handed_in(day, student, height_mm=190)
    job = job_of(make_plan(day, teacher))
    assert metals_back(job.opened.sheet) == [] and weigh_back_html(job) is None
