"""Whether the second-choice metal of a wax that is left out would help."""

from decimal import Decimal

from casting.models import Alloy
from casting.presenters.second_choice import second_choices
from casting.selectors.day_file import day_values_of
from tests.casting_factories import handed_in, too_much_gold


def told(day):
    found = second_choices(day, day.waxes.standing(), day_values_of(day))
    return {tag: (one.alloy.key, one.why_not) for tag, one in found.items()}


def test_a_wax_that_its_second_metal_lets_in_is_told_so_and_one_that_it_does_not_with_the_reason(day, student):
    handed_in(day, student)
    fits = too_much_gold(day, student)
    tall = too_much_gold(day, student, height_mm=Decimal(300))
    found = told(day)
    assert set(found) == {fits.tag, tall.tag}
    assert found[fits.tag] == ("si-bronze", "")
    assert found[tall.tag][0] == "si-bronze" and "300 mm tall" in found[tall.tag][1]


def test_a_metal_that_the_day_does_not_offer_is_no_second_choice(day, student):
    bronze = Alloy.objects.get(school=day.course.school, key="si-bronze")
    handed_in(day, student, second_alloy=bronze)
    day.alloys.remove(bronze)
    assert told(day) == {}


def test_without_a_second_choice_nothing_is_asked(day, student, django_assert_num_queries):
    waxes = [handed_in(day, student)]
    with django_assert_num_queries(0):
        assert second_choices(day, waxes, {}) == {}
