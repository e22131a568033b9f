"""The hand-in page of a school that measures in inches: fields, hints, refusals, and what is kept."""

import pytest
from django.urls import reverse

from casting.models import Wax
from tests.casting.views.test_hand_in import confirm
from tests.casting_factories import handed_in, typed

INCHES = {"width_mm": "7/8", "depth_mm": "0.315", "height_mm": "1.3"}


@pytest.fixture
def inch_school(school):
    school.length_unit = "in"
    school.save()
    return school


def test_a_school_that_measures_in_inches_hands_in_in_inches(inch_school, day, student_client):
    address = reverse("hand_in_day", args=[day.pk])
    page = student_client.get(address).content.decode()
    assert "Width, in" in page and "Height, in" in page and "Width, mm" not in page
    assert "thin, 0.03\u202fin (0.8\u202fmm) to" in page
    wrong = student_client.post(address, typed(day, **INCHES | {"height_mm": "33", "width_mm": "22 cm"}))
    errors = wrong.context["form"].errors
    assert "33 in is not possible: a wax measures more than 0 and at most 15.74 in." in errors["height_mm"][0]
    assert "is not in inches" in errors["width_mm"][0] and not Wax.objects.exists()
    confirm(student_client, day, **INCHES)
    wax = Wax.objects.get()
    # 7/8, 0.315 and 1.3 in of 25.4 mm
    assert [float(side) for side in (wax.width_mm, wax.depth_mm, wax.height_mm)] == [22.225, 8.001, 33.02]
    own = student_client.get(reverse("my_waxes")).content.decode().replace("\u202f", " ")
    # to the hundredth: 0.875 rounds up
    assert "0.88 in (22.225 mm) wide, 0.32 in (8.001 mm) deep, 1.3 in (33.02 mm) tall" in own


def test_a_change_in_inches_leaves_sizes_alone_that_nobody_touched(inch_school, day, student, student_client):
    wax = handed_in(day, student)  # 22 x 8 x 33 mm
    address = reverse("change_wax", args=[wax.pk])
    form = student_client.get(address).context["form"]
    shown = {name: form[name].value() for name in ("width_mm", "depth_mm", "height_mm")}
    assert shown == {"width_mm": "0.866", "depth_mm": "0.315", "height_mm": "1.299"}
    sent = typed(day, **shown, what="leaf ring", version=str(wax.version), key=str(wax.key))
    assert student_client.post(address, sent).status_code == 302
    wax.refresh_from_db()
    assert (wax.what, wax.width_mm, wax.depth_mm, wax.height_mm) == ("leaf ring", 22, 8, 33)


def test_a_wax_too_tall_for_every_flask_is_told_in_inches(inch_school, day, student_client):
    answer = confirm(student_client, day, width_mm="0.4", depth_mm="0.4", height_mm="7")
    # 7 in x 25.4 = 177.8 mm
    assert "7\u202fin (177.8 mm) tall; the tallest flask takes" in answer.content.decode()
