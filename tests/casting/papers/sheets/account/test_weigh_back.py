"""The weigh-back sheet: a box for every casting of every flask, and a pickle of its own for bronze."""

import re

from casting.papers.pdf.render import render
from casting.papers.sheets.account.weigh_back import metals_back, weigh_back_html
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of
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
