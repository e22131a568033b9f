"""Time beside cost by the product's own road: rows, the search, the page, one press, and the papers that follow."""

import datetime as dt
import re

from django.urls import reverse

from casting.models import Plan
from tests.casting.papers.sheets.test_day_plan import words_of
from tests.casting.sooner_day import a_sooner_day
from tests.contract import breaches


def last_pour(plan):
    return dt.datetime.fromisoformat(plan.file["totals"]["last_pour_at"])


def test_a_plan_that_ends_earlier_is_found_shown_taken_and_printed(teacher_client, course):
    day = a_sooner_day(course)
    page = teacher_client.post(reverse("make_plan", args=[day.pk]), follow=True).content.decode()
    cheapest = Plan.objects.get()
    assert "Time beside cost" in page and "Take the plan that ends earlier" in page
    (take,) = re.findall(r'name="revision" value="(\d+)"', page.split('id="sooner"')[1].split("</section>")[0])
    page = teacher_client.post(reverse("take_sooner", args=[day.pk]), {"revision": take}, follow=True).content.decode()
    taken = Plan.objects.latest_of(day)
    assert "Go back to the cheapest plan" in page and taken.revision == 2
    assert last_pour(cheapest) - last_pour(taken) >= dt.timedelta(minutes=15)
    assert taken.file["totals"]["cost"] <= cheapest.file["totals"]["cost"] * 1.05
    assert taken.file["totals"]["flasks"] == cheapest.file["totals"]["flasks"]
    assert breaches(taken.day_values, taken.file) == []
    paper = teacher_client.get(reverse("paper_pdf", args=[day.pk, "weigh-out"]))
    assert "revision-2" in paper["Content-Disposition"]
    text = words_of(paper.content)
    assert all(f"{flask['label']} {flask['charge_g']:.1f} g" in text for flask in taken.file["flasks"])
    assert [flask["waxes"] for flask in taken.file["flasks"]] != [flask["waxes"] for flask in cheapest.file["flasks"]]
