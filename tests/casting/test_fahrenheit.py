"""A school that works in Fahrenheit reads no figure in Celsius; nothing else in a sentence is touched."""

import json
import math
import re

import pytest

from casting.calc.cautions.rulebook import raised
from casting.calc.values.marked_text import DOWN, NEAREST, UP, heat, named
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import FIXTURES
from casting.models import Alloy, Investment
from casting.papers.sheets.day_plan import day_plan_html
from casting.papers.sheets.teacher_safety import teacher_safety_html
from casting.presenters.formats import SchoolUnits
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.wax_preview import answers_for
from casting.presenters.wording import in_units
from casting.services.cautions import clear
from casting.units import Temperature
from school.models import School
from tests.casting.calc.cautions import cases as of_day
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.days.day_file import planned

F = SchoolUnits(temperature=Temperature.FAHRENHEIT)
CELSIUS = re.compile(r"\d\s*(?:°\s*C|degrees C|C\b)|°C")
RULES = list(rulebook().rules.values())


def filled_in(rule):
    """The rule's words with a figure in every brace that a number may stand in."""
    return rule.text.format_map(dict.fromkeys(re.findall(r"\{(\w+)\}", rule.text), 300.5))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_no_rule_has_a_celsius_figure_that_is_not_marked(rule):
    for words in (filled_in(rule), rule.basis):
        assert not CELSIUS.search(in_units(words, F))
        assert in_units(words, SchoolUnits()) == words.replace(NEAREST, DOWN)


def test_limits_and_doubts_have_none_either():
    file = json.loads((FIXTURES / "safety_limits.json").read_text("utf-8"))
    said = [row["value"] + row["unit"] + row["note"] for row in file["limits"]] + file["doubts"]
    assert not [words for words in said if CELSIUS.search(in_units(words, F))]
    assert sum(in_units(words, F) != words for words in said) == 4


@pytest.mark.parametrize(
    ("said", "read"),
    [
        # 732 C is 1349.6 F, 677 C is 1250.6 F, -7 C is 19.4 F: down or up as the space says.
        (f"to 732{DOWN}°C", f"to 1349{DOWN}°F"),
        (f"under 677{UP}°C", f"under 1251{UP}°F"),
        (f"at -7{DOWN}°C", f"at 19{DOWN}°F"),
        # 371 C is 699.8 F, a set point; 842 F is said in tens, to the side of its space.
        (f"at 371{NEAREST}°C", "at 700\u202f°F"),
        (f"to about 450{UP}°C", f"to about 850{UP}°F"),
        (f"to about 450{DOWN}°C", f"to about 840{DOWN}°F"),
        # A difference takes no 32: 112 x 1.8 = 201.6; so does a ramp: 167 x 1.8 = 300.6.
        (f"112{UP}degrees C above", f"202{UP}degrees F above"),
        (f"at 167{DOWN}°C/h", f"at 300{DOWN}°F/h"),
        # 538.5 C is 1001.3 F.
        (f"at 538.5{DOWN}°C.", f"at 1001{DOWN}°F."),
        # What is not marked is no figure of ours: names, grams, minutes.
        ("Metal 925 at 1000 °C, 30 g, 12 minutes, wax-4C", "Metal 925 at 1000 °C, 30 g, 12 minutes, wax-4C"),
    ],
)
def test_marked_figures_alone_change_and_to_the_side_of_caution(said, read):
    assert in_units(said, F) == read


def test_a_figure_past_its_limit_stays_past_it_on_every_scale():
    def read(words):
        return [int(number) for number in re.findall(r"(\d+)[\u202f\u00a0]", in_units(words, F))]

    for tenth in range(6000, 7800, 7):
        value = tenth / 10
        top, limit = read(raised(rulebook(), "N-01", firing="x", top=value).text)
        assert value <= 732 or top > limit
        end, least = read(raised(rulebook(), "N-02-warn", firing="x", top=value).text)
        assert value >= 677 or end < least
        assert abs(end - (value * 1.8 + 32)) < 1 and top == math.ceil(round(value * 1.8 + 32, 6))


@pytest.mark.parametrize("name", [heat(700), f"5{UP}°C bronze", "{top}"])
def test_no_name_is_taken_for_a_figure(name):
    said = raised(rulebook(), "R-12-hot", alloy=name, pour=1200.0).text
    assert in_units(said, F).startswith(
        f"Do not pour {named(name)} at 2192{UP}°F into this investment. Above 2012*\u2060{DOWN}°F"
    )


@pytest.mark.parametrize("day", [case[2] for case in of_day.CASES], ids=[case[0] for case in of_day.CASES])
def test_no_sentence_of_a_plan_shows_celsius(day):
    plan = planned(day)
    said = [step["say"] for step in plan["steps"]] + [wax["detail"] for wax in plan["left_out"]]
    said += [one[key] for one in plan["cautions"] for key in ("text", "basis")] + [plan["proof"]["why"]]
    assert said and not [words for words in said if CELSIUS.search(in_units(words, F))]


@pytest.fixture
def hot(day, teacher, student):
    """A plan of a school in Fahrenheit: bronze too hot for the powder is left out, sterling is poured."""
    Alloy.objects.filter(key="si-bronze").update(pour_c=1150, liquidus_c=1100, solidus_c=1000)
    Investment.objects.update(water_per_100=43)
    School.objects.filter(pk=day.course.school_id).update(temperature_unit="F")
    day.refresh_from_db()
    handed_in(day, student)
    handed_in(day, student, alloy=Alloy.objects.get(school=day.course.school, key="si-bronze"))
    return make_plan(day, teacher)


def test_pages_and_papers_of_that_school_speak_fahrenheit(hot, teacher_client, student):
    names = ("flasks", "day-plan", "waxes")
    pages = [teacher_client.get(f"/days/{hot.day_id}/{name}/").content.decode() for name in names]
    # A token drawn at random ends in 0C now and then.
    pages = [re.sub(r"[\w+/-]{20,}=*", "", page) for page in pages]
    papers = [day_plan_html(job_of(hot)), teacher_safety_html(job_of(hot))]
    for page in (*pages, *papers):
        assert not CELSIUS.search(page)
        # 1150 C is 2102 F
        assert "2102" in page
    told = answers_for(hot.day, hot.day.waxes.all())
    assert "2102" in " ".join(one.left_out.detail for one in told.values() if one.left_out)
    assert "1150" in hot.plan_file and "2102" not in hot.plan_file


def test_what_was_cleared_stays_cleared_when_the_school_changes_its_units(day, teacher, student):
    Alloy.objects.filter(key="sterling").update(pour_c=1050)
    handed_in(day, student)
    plan = make_plan(day, teacher)

    def superheat():
        (one,) = [caution for caution in OpenedPlan(plan).cautions if caution.id == "N-15-warn"]
        return one

    above_c = 1050 - Alloy.objects.get(school=day.course.school, key="sterling").liquidus_c
    assert f" {above_c:g}{UP}degrees C above" in superheat().text
    School.objects.filter(pk=day.course.school_id).update(temperature_unit="F")
    plan.day.course.school.refresh_from_db()
    assert f" {math.ceil(above_c * 1.8)}{UP}degrees F above" in superheat().text
    clear(plan.day, "N-15-warn", by="Imre Valdane", reason="the maker says so", text=superheat().text)
    for unit in "CF":
        School.objects.filter(pk=day.course.school_id).update(temperature_unit=unit)
        plan.day.course.school.refresh_from_db()
        assert superheat().cleared_by == "Imre Valdane"
