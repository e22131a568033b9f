"""The answer for a wax before any plan."""

from decimal import Decimal

import pytest
from django.utils import translation

from casting.calc.values.enums import Reason
from casting.calc.values.errors import Refused
from casting.dayfile import reading
from casting.models import Alloy, Investment, Wax
from casting.presenters.wax_preview import answers_for, preview_of
from tests.casting_factories import handed_in, wax_entry

# 3.20 g of carving wax of 0.96 in sterling of 10.36: 3.20 / 0.96 x 10.36, worked by hand.
BAND_G = 34.53


def test_a_wax_takes_its_volume_in_metal(day, student):
    preview = preview_of(day, student, wax_entry(day))
    assert round(preview.metal_g, 2) == BAND_G and preview.left_out is None


def test_a_wax_taller_than_every_flask_is_told_so(day, student):
    preview = preview_of(day, student, wax_entry(day, height_mm=Decimal(200)))
    assert preview.left_out.reason == Reason.TOO_TALL and round(preview.metal_g, 2) == BAND_G


def test_what_would_help_is_said_in_the_language_of_who_reads(day, student):
    with translation.override("es"):
        why = preview_of(day, student, wax_entry(day, stones=Wax.Stones.OTHER)).left_out
    assert why.reason == Reason.STONES and why.cure == "engasta las piedras después de fundir"


def test_what_is_no_wax_is_refused(day, student):
    """90 g in a box of 22 x 8 x 33 mm = 5.8 cm3 would be denser than any wax."""
    with pytest.raises(Refused) as refusal:
        preview_of(day, student, wax_entry(day, wax_g=Decimal(90)))
    assert refusal.value.place.startswith("waxes[")


def test_a_faulty_shelf_keeps_no_student_from_handing_in(day, student):
    Investment.objects.filter(school=day.course.school).update(water_per_100=90)
    assert round(preview_of(day, student, wax_entry(day)).metal_g, 2) == BAND_G
    Investment.objects.filter(school=day.course.school).update(offered=False)
    assert round(preview_of(day, student, wax_entry(day)).metal_g, 2) == BAND_G


def test_the_shelf_is_checked_once_for_many_waxes_and_again_once_it_changed(day, student, monkeypatch):
    read, checked = reading._given, []
    monkeypatch.setattr(reading, "_given", lambda values: checked.append(values) or read(values))
    for wax in (handed_in(day, student), handed_in(day, student)):
        assert round(answers_for(day, [wax])[wax.tag].metal_g, 2) == BAND_G
    assert len(checked) <= 1, "another test may have asked for the same shelf"
    Alloy.objects.filter(school=day.course.school, key="sterling").update(specific_gravity=10.4)
    # 3.20 / 0.96 x 10.4 by hand.
    assert round(answers_for(day, [wax])[wax.tag].metal_g, 2) == 34.67


def test_each_wax_has_an_answer_in_its_own_metal(day, student):
    bronze = Alloy.objects.get(school=day.course.school, key="si-bronze")
    light, heavy = handed_in(day, student, alloy=bronze), handed_in(day, student)
    answers = answers_for(day, [light, heavy])
    share = answers[light.tag].metal_g / answers[heavy.tag].metal_g
    assert share == pytest.approx(bronze.specific_gravity / 10.36, abs=1e-6)
