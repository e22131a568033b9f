"""The page of the house rules: every rule in a box, what is usual beside it, and what a change does to planned days."""

import pytest
from django.urls import reverse

from casting.forms.shelf.form import ThingForm
from casting.models import HouseRules
from casting.services.stock import stock_school
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

PAGE = "/house-rules/"


@pytest.fixture
def rules(school, course):
    stock_school(school)
    return HouseRules.objects.get(school=school)


def opened(row, **typed):
    """What the page posts, with changes."""
    form = ThingForm(None, row=row)
    return form.stored | {"seen": form.seen(), "version": str(row.version)} | typed


def now(row):
    return HouseRules.objects.get(pk=row.pk)


def test_the_page_shows_what_is_usual_what_it_means_and_what_it_measures(rules, teacher_client):
    page = teacher_client.get(PAGE).content.decode()
    assert page.count("usual:") == len(HouseRules.figures)
    assert "usual: 6.5\u202fmm" in page and "usual: 12\u202fmm*" in page  # the second is from memory
    assert "Investment between a wax and the wall of its flask." in page
    assert page.count('class="drawing rule-group"') == 4
    assert "Put the usual one back" not in page
    assert f'href="{reverse("house_rules")}"' in page


def test_a_rule_is_changed_says_who_and_is_put_back_with_one_press(rules, teacher_client):
    assert teacher_client.post(PAGE, opened(rules, wall_mm="9")).status_code == 302
    own = now(rules)
    assert own.rules == {"wall_mm": 9} and own.version == 2
    page = teacher_client.get(PAGE).content.decode()
    assert (
        "Typed by the school (Imre Valdane), 20" in page and page.count("Put the usual one back") == 2
    )  # and its name
    answer = teacher_client.post(PAGE, opened(own, hands="4", put_back="wall_mm"))
    form = answer.context["form"]
    assert (form["wall_mm"].value(), form["hands"].value()) == ("", "4")
    assert now(rules).rules == {"wall_mm": 9}
    teacher_client.post(PAGE, opened(own, wall_mm=""))
    assert now(rules).rules == {}
    assert "Typed by the school" not in teacher_client.get(PAGE).content.decode()
    assert now(rules).to_day() == rules.to_day()


def test_mistakes_are_told_at_their_boxes_and_nothing_is_stored_or_lost(rules, teacher_client):
    answer = teacher_client.post(PAGE, opened(rules, wall_mm="-6", hands="0", slack_min="45"))
    page = answer.content.decode()
    assert answer.status_code == 422 and set(answer.context["form"].errors) == {"wall_mm", "hands"}
    assert 'value="-6"' in page and 'value="45"' in page
    assert now(rules).rules == rules.rules and now(rules).version == 1


def test_the_second_teacher_to_save_sees_what_the_first_changed(rules, teacher_client):
    late = opened(rules, pitch_min="10")
    teacher_client.post(PAGE, opened(rules, wall_mm="8"))
    answer = teacher_client.post(PAGE, late)
    assert answer.status_code == 409 and "it was – and is now 8" in answer.content.decode()
    form = answer.context["form"]
    assert (form["wall_mm"].value(), form["pitch_min"].value()) == ("8", "10")
    assert now(rules).rules == {"wall_mm": 8}


def test_a_school_without_house_rules_gets_its_first(rules, teacher_client):
    rules.delete()
    assert teacher_client.get(PAGE).status_code == 200 and not HouseRules.objects.exists()
    assert teacher_client.post(PAGE, opened(rules, hands="4")).status_code == 302
    own = HouseRules.objects.get()
    assert (own.rules, own.key, own.name) == ({"hands": 4}, "house", "House rules")
    assert set(own.sources) == {"hands"}


def test_what_a_change_does_to_a_planned_day_is_said_before_it_is_saved(day, student, teacher, teacher_client):
    stock_school(day.course.school)
    row = HouseRules.objects.get(school=day.course.school)
    handed_in(day, student)
    make_plan(day, by=teacher)
    answer = teacher_client.post(PAGE, opened(row, wall_mm="8"))
    assert answer.status_code == 200 and "Its plan will be out of date" in answer.content.decode()
    assert now(row).version == 1
    typed = opened(row, wall_mm="8", effects=answer.context["effects_seen"])
    assert teacher_client.post(PAGE, typed).status_code == 302
    assert now(row).rules == {"wall_mm": 8}


def test_a_teacher_changes_the_rules_of_no_other_school(rules, other_teacher_client):
    assert other_teacher_client.post(PAGE, opened(rules, wall_mm="9")).status_code in (302, 409)
    assert now(rules).rules == rules.rules
