"""What a change of the shelf does to planned days: said before it is saved, and nothing is kept of the trial."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import Alloy, CastingDay, Flask, FlaskSize, Investment, Kiln
from casting.services.flasks import fix_flask
from casting.services.shelf import change, move, put_away
from casting.services.shelf_effects import effects_of, seen_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


@pytest.fixture
def plan(day, student, teacher):
    handed_in(day, student)
    return make_plan(day, by=teacher)


def row(plan, model, key):
    return model.objects.get(school=plan.day.course.school, key=key)


def tried(plan, teacher, model, key, **values):
    one = row(plan, model, key)
    return effects_of(teacher.school, lambda: change(one, values, one.version, teacher))


def test_a_change_of_what_a_plan_used_puts_it_out_of_date_and_is_not_kept(plan, teacher):
    (effect,) = tried(plan, teacher, Alloy, "sterling", pour_c=985)
    assert list(effect.sentences) == ["Its plan will be out of date: make it again."]
    assert effect.day == plan.day and plan.day.course.name in effect.called
    assert row(plan, Alloy, "sterling").pour_c == 970 and row(plan, Alloy, "sterling").version == 1


def test_a_metal_that_the_day_does_not_offer_changes_nothing(plan, teacher):
    assert tried(plan, teacher, Alloy, "gold-18k", pour_c=1010) == []


def test_a_name_alone_still_counts_as_it_stands_on_papers(plan, teacher):
    assert tried(plan, teacher, Kiln, "k1", name="Front kiln")


def test_an_invested_flask_whose_charge_moves_is_named_with_both_figures(plan, teacher):
    fix_flask(plan.day, "A", Flask.State.INVESTED, by=teacher)
    charge_g = plan.file["flasks"][0]["charge_g"]
    (effect,) = tried(plan, teacher, Alloy, "sterling", specific_gravity=10.5)
    outdated, charge = effect.sentences
    assert outdated.startswith("Its plan will be out of date")
    # 3.20 g of wax at 0.96 make 34.53 g at 10.36 and 35.00 at 10.50; the button, the least of a 51 mm flask, is
    # 10 g at 10.36 and 10.14 at 10.50: together 44.53 and 45.14, up to the half gram 45.0 and 45.5.
    assert charge_g == 45.0
    assert "It was 45 g when the flask was invested. Today's figures make it 45.5 g" in charge


def test_a_poured_flask_is_not_spoken_of(plan, teacher):
    fix_flask(plan.day, "A", Flask.State.INVESTED, by=teacher)
    fix_flask(plan.day, "A", Flask.State.POURED, by=teacher, poured_at=timezone.now())
    assert tried(plan, teacher, Alloy, "sterling", specific_gravity=10.5) == []


def test_a_day_that_can_no_longer_be_planned_is_told_with_its_reason(plan, teacher):
    # the shelf's firings go to 732 C
    (effect,) = tried(plan, teacher, Investment, "gypsum", max_c=700.0)
    assert effect.sentences[0].startswith("No plan can be made of it then. ")
    assert "732\u202f°C is too hot for this powder (700\u202f°C)" in effect.sentences[0]


def test_a_day_that_is_over_or_has_no_plan_is_left_out(plan, day, teacher):
    CastingDay.objects.filter(pk=day.pk).update(pour_at=timezone.now() - dt.timedelta(days=2))
    assert tried(plan, teacher, Alloy, "sterling", pour_c=985) == []


def test_putting_away_and_moving_are_tried_in_the_same_way(plan, teacher):
    size = row(plan, FlaskSize, "102x102")
    assert effects_of(teacher.school, lambda: put_away(size))
    assert effects_of(teacher.school, lambda: move(size, earlier=True))
    assert row(plan, FlaskSize, "102x102").offered


def test_the_same_effects_have_the_same_digest(plan, teacher):
    first, again = (tried(plan, teacher, Alloy, "sterling", pour_c=985) for _nth in range(2))
    other = tried(plan, teacher, Alloy, "sterling", pour_c=985) * 2
    assert seen_of(first) == seen_of(again) != seen_of(other)
