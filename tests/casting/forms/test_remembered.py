"""What the hand-in page begins with for a student who has handed in before."""

import pytest
from django.urls import reverse

from casting.models import Wax
from tests.casting_factories import handed_in, typed


def checked(page, name):
    """The value of a field as the page begins."""
    field = page.context["form"][name]
    value = field.value()
    return getattr(value, "pk", value)


def test_material_metal_and_base_are_remembered(student, student_client, day):
    address = reverse("hand_in_day", args=[day.pk])
    assert checked(student_client.get(address), "alloy") is None
    student_client.post(address, typed(day, weight="45.20", on_base="yes", base="42"))
    page = student_client.get(address)
    wax = Wax.objects.get()
    kept = {name: checked(page, name) for name in ("alloy", "pattern", "on_base", "base")}
    assert kept == {"alloy": wax.alloy_id, "pattern": wax.pattern_id, "on_base": "yes", "base": "42"}
    assert not checked(page, "weight") and not checked(page, "what") and not checked(page, "width_mm")


def test_a_metal_that_is_not_offered_this_time_is_not_remembered(student, student_client, day):
    wax = handed_in(day, student)
    day.alloys.remove(wax.alloy)
    assert checked(student_client.get(reverse("hand_in_day", args=[day.pk])), "alloy") is None


def test_another_like_it_asks_for_the_weight_alone(student, student_client, classmate_client, day):
    bronze = day.alloys.get(key="si-bronze")
    wax = handed_in(day, student, what="left earring", second_alloy=bronze, note="for my aunt")
    address = reverse("hand_in_day", args=[day.pk]) + f"?like={wax.pk}"
    page = student_client.get(address)
    assert (checked(page, "what"), checked(page, "width_mm"), checked(page, "section")) == (
        "left earring",
        "22",
        "medium",
    )
    assert (checked(page, "second_alloy"), checked(page, "note")) == (bronze.pk, None)
    assert not checked(page, "weight") and checked(page, "key") != wax.key
    assert not checked(classmate_client.get(address), "what")


@pytest.mark.parametrize("like", ["0", "x", "-1", "9" * 40, "\x00", "\u0664"])
def test_another_like_nothing_begins_empty(student_client, day, like):
    page = student_client.get(reverse("hand_in_day", args=[day.pk]), {"like": like})
    assert page.status_code == 200 and not checked(page, "what")


def test_the_wax_before_is_what_a_slipped_comma_is_told_by(student, student_client, day):
    address = reverse("hand_in_day", args=[day.pk])
    size = {"width_mm": "40", "depth_mm": "20", "height_mm": "45"}
    assert student_client.post(address, typed(day, weight="1.85", **size)).status_code == 302
    asked = student_client.post(address, typed(day, weight="18.5", **size))
    assert asked.status_code == 422 and "about ten times your last one" in asked.content.decode()
    assert student_client.post(address, typed(day, weight="2.1", **size)).status_code == 302


def test_a_unit_that_was_written_does_not_come_along_unseen(student, student_client, day):
    address = reverse("hand_in_day", args=[day.pk])
    assert student_client.post(address, typed(day, weight="2 dwt", unit="g")).status_code == 302
    wax = Wax.objects.get()
    assert (wax.entered, wax.entered_unit) == ("2", "dwt")
    assert checked(student_client.get(address), "unit") == "g"
