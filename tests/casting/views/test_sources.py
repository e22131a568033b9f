"""The page of sources, and the links that lead to its rows."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from casting.models import Alloy, CautionCleared
from school.models import School
from tests.casting.planned import make_plan
from tests.casting.test_no_brand import named_in
from tests.casting_factories import handed_in

ADDRESS = "/sources/"
LINKING = ("flasks", "day_plan", "waxes")
STAR = "*\u2060"


def anchors_in(page):
    return re.findall(r'\sid="([^"]+)"', page)


@pytest.fixture
def planned(day, student, teacher):
    """A day with a metal from memory beside one that is not."""
    for key in ("sterling", "si-bronze", "gold-14k"):
        handed_in(day, student, alloy=Alloy.objects.get(school=day.course.school, key=key))
    return make_plan(day, teacher)


def test_a_teacher_reads_where_each_figure_comes_from(day, teacher_client):
    page = teacher_client.get(ADDRESS).content.decode()
    row = re.search(r'<li id="alloys.si-bronze.flask_c.heavy">.*?</li>', page, re.DOTALL)[0]
    assert f"427\u202f°C to 510\u202f°C{STAR}" in row and "from memory: check the supplier's sheet" in row
    assert row.index("427") < row.index("flask temperature, heavy work") < row.index("Bronze and brass")


def test_another_scale_reads_the_same_rows_in_its_own_units(day, teacher_client):
    School.objects.filter(pk=day.course.school_id).update(weight_unit="dwt", temperature_unit="F", length_unit="in")
    page = teacher_client.get(ADDRESS).content.decode()
    assert not re.findall(r"\d[\u2007\u202f\u00a0]°C", page)
    # 970 C, sterling's pour; 200 g in one melt; 6.5 mm to the wall
    assert "1778\u202f°F" in page and "128.60\u202fdwt (200\u202fg)" in page and "0.26\u202fin" in page


@pytest.mark.parametrize("who", ["student_client", "classmate_client", "stranger_client"])
def test_nobody_but_a_teacher_reads_it(day, who, request):
    answer = request.getfixturevalue(who).get(ADDRESS)
    assert answer.status_code == 302 and "next=" in answer["Location"]


def test_a_teacher_of_another_school_reads_their_own_shelf(day, teacher_client, other_teacher_client):
    Alloy.objects.filter(school=day.course.school, key="sterling").update(name="Sterling of Tidewater")
    assert "Sterling of Tidewater" in teacher_client.get(ADDRESS).content.decode()
    page = other_teacher_client.get(ADDRESS).content.decode()
    assert "Sterling of Tidewater" not in page and 'id="cautions.R-21"' in page


def test_it_is_only_read(teacher_client):
    assert teacher_client.post(ADDRESS).status_code == 405


def test_more_rows_take_no_more_queries(day, teacher_client):
    def queries():
        with CaptureQueriesContext(connection) as found:
            assert teacher_client.get(ADDRESS).status_code == 200
        return len(found)

    school = day.course.school
    many = queries()
    sterling = Alloy.objects.get(school=school, key="sterling")
    for nth in range(20):
        sterling.pk, sterling.key = None, f"sterling-{nth}"
        sterling.save()
    assert queries() == many
    Alloy.objects.filter(school=school, key__startswith="sterling-").delete()
    assert queries() == many


def test_no_supplier_is_named(day, teacher_client):
    assert not named_in(teacher_client.get(ADDRESS).content.decode())


def test_each_anchor_stands_once(day, teacher_client):
    found = anchors_in(teacher_client.get(ADDRESS).content.decode())
    assert len(found) == len(set(found)) > 500


def test_its_own_list_leads_to_rows_that_are_there(day, teacher_client):
    page = teacher_client.get(ADDRESS).content.decode()
    found = set(anchors_in(page))
    assert [one for one in re.findall(r'href="#([^"]+)"', page) if one not in found] == []


@pytest.mark.parametrize("name", LINKING)
def test_every_link_of_a_page_leads_to_a_row_that_is_there(name, day, planned, teacher_client):
    found = set(anchors_in(teacher_client.get(ADDRESS).content.decode()))
    page = teacher_client.get(reverse(name, args=[day.pk])).content.decode()
    led = re.findall(rf'href="{ADDRESS}#([^"]+)"', page)
    assert len(led) >= 3 and [one for one in led if one not in found] == []


def test_each_caution_of_a_plan_leads_to_its_rule(day, planned, teacher_client):
    for name in ("flasks", "day_plan"):
        page = teacher_client.get(reverse(name, args=[day.pk]))
        for caution in page.context["cautions"]:
            assert f"{ADDRESS}#cautions.{caution.id}" in page.content.decode(), caution.id


def test_the_figures_of_a_flask_lead_to_its_metal(day, planned, teacher_client):
    page = teacher_client.get(reverse("flasks", args=[day.pk])).content.decode()
    starred = re.findall(
        rf'<a class="source" href="{ADDRESS}#([\w.-]+)">\d+<span class="unit">°C{re.escape(STAR)}', page
    )
    assert starred == ["alloys.si-bronze.flask_c.medium"]
    plan = teacher_client.get(reverse("day_plan", args=[day.pk])).content.decode()
    assert f'{ADDRESS}#alloys.gold-14k.quench_min_by_diameter"' in plan and "#investment.gypsum" in plan


def test_no_star_of_the_day_plans_words_is_without_a_link(day, planned, teacher_client):
    page = teacher_client.get(reverse("day_plan", args=[day.pk])).content.decode()
    words = re.sub(r"<svg.*?</svg>|<title>.*?</title>", "", page, flags=re.DOTALL)
    linked = re.sub(r'<a class="source".*?</a>', "", words, flags=re.DOTALL)
    # The one that is left is that of the note, which explains it.
    assert words.count(STAR) > linked.count(STAR) == 0 and linked.count("* from memory") == 1


def test_the_stars_of_a_working_lead_to_what_each_comes_from(day, planned, teacher_client):
    page = teacher_client.get(reverse("flasks", args=[day.pk])).content.decode()
    workings = re.findall(r'<details class="working".*?</details>', page, re.DOTALL)
    stars = [
        row for working in workings for row in re.findall(rf'#([\w.-]+)" aria-label="[^"]*">{re.escape(STAR)}', working)
    ]
    # The least button is from memory on the shelf, whatever the metal.
    assert len(stars) == sum(working.count(STAR) for working in workings) > 0
    assert set(stars) == {"rules.button_g_by_diameter"}


def test_a_caution_that_is_cleared_keeps_its_link(day, planned, teacher_client):
    page = teacher_client.get(reverse("flasks", args=[day.pk]))
    gate = next(one for one in page.context["cautions"] if one.clearable and not one.asked_before)
    CautionCleared.objects.create(day=day, caution=gate.id, text=gate.as_raised, by="Imre", reason="tried")
    assert f"{ADDRESS}#cautions.{gate.id}" in teacher_client.get(reverse("flasks", args=[day.pk])).content.decode()


def test_the_days_lead_to_the_page(teacher_client):
    assert f'href="{ADDRESS}"' in teacher_client.get(reverse("days")).content.decode()


def test_the_waxes_of_a_student_lead_nowhere(day, planned, student_client):
    assert ADDRESS not in student_client.get(reverse("my_waxes")).content.decode()


def test_words_find_the_lines_that_have_them_all_and_open_their_folds(day, teacher_client):
    page = teacher_client.get(ADDRESS, {"q": "STERLING pour"}).content.decode()
    found = set(anchors_in(page))
    assert "alloys.sterling.pour_c" in found and not {"alloys.sterling.price_per_g", "kilns.k1"} & found
    assert len(re.findall(r'<details id="[^"]+" class="thing" open>', page)) == page.count('class="thing"') > 0
    assert 'value="STERLING pour"' in page and f'<a href="{ADDRESS}">All figures</a>' in page


def test_words_that_nothing_has_are_told_and_all_figures_stay(day, teacher_client):
    page = teacher_client.get(ADDRESS, {"q": "<unobtainium>"}).content.decode()
    assert "Nothing has “&lt;unobtainium&gt;”. Try one word of it." in page
    assert len(anchors_in(page)) > 500 and 'class="thing" open' not in page
