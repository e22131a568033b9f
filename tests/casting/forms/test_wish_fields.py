"""A note and a second-choice metal: both may stay empty, and are read as they were meant."""

import pytest

from casting.forms.hand_in import WaxForm
from casting.forms.wax_fields import typed_of
from tests.casting_factories import handed_in, typed


def wished(day, **changed):
    form = WaxForm(typed(day, **changed), day=day)
    return form, form.is_valid()


def of(day, key):
    return day.alloys.get(key=key)


def test_both_may_be_left_empty(day):
    form, whole = wished(day)
    assert whole and (form.entry().second_alloy, form.entry().note) == (None, "")


def test_both_are_kept_and_read_back_as_typed(day):
    bronze = of(day, "si-bronze")
    form, whole = wished(day, second_alloy=str(bronze.pk), note="  no polish \u202einside\tplease ")
    assert whole and form.has_wishes
    assert (form.entry().second_alloy, form.entry().note) == (bronze, "no polish inside please")
    again = typed_of(handed_in(day, second_alloy=bronze, note="no polish"))
    assert (again["second_alloy"], again["note"]) == (bronze.pk, "no polish")


def test_a_note_of_200_signs_is_taken_and_a_longer_one_is_refused_with_its_length(day):
    assert wished(day, note="n" * 200)[1]
    form, whole = wished(day, note="n" * 201)
    assert not whole and form.errors["note"] == ["What you wrote has 201 signs, and 200 are the most. Make it shorter."]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"second": "sterling"}, "Sterling silver is your first choice too."),
        ({"second": "si-bronze", "own_metal": "on"}, "You bring your own metal"),
    ],
)
def test_a_second_choice_is_another_metal_of_the_school(day, changed, said):
    second = of(day, changed.pop("second"))
    form, whole = wished(day, second_alloy=str(second.pk), **changed)
    assert not whole and said in form.errors["second_alloy"][0]


def test_a_metal_that_is_not_offered_is_no_choice(day):
    bronze = of(day, "si-bronze")
    day.alloys.remove(bronze)
    form, whole = wished(day, second_alloy=str(bronze.pk))
    assert not whole and form.errors["second_alloy"] == ["Choose one of the metals offered."]
