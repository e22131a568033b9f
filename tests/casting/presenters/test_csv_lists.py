"""The rows of waxes and charges: one cell for each head, figures as figures."""

from decimal import Decimal

import pytest

from casting.presenters.csv_lists import charges_table, waxes_table
from casting.presenters.opened_plan import OpenedPlan
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def test_a_wax_without_an_answer_has_an_empty_figure_not_a_nought(day, student):
    wax = handed_in(day, student, own_metal=True, note="no polish inside")
    header, (row,) = waxes_table([wax], {}, day.course.school)
    told = dict(zip(header, row, strict=True))
    assert told["Metal needed, no button [g]"] is None and told["Wax [g]"] == Decimal("3.20")
    assert (told["Whose metal"], told["Thinnest part"], told["Stones"]) == ("student's own", "medium", "no stones")
    assert (told["Note"], told["Second-choice metal"]) == ("no polish inside", "")


@pytest.mark.parametrize(("unit", "pour"), [("C", 970), ("F", 1778)])
def test_temperatures_are_on_the_school_s_scale_and_the_head_says_which(day, student, teacher, unit, pour):
    day.course.school.temperature_unit = unit
    day.course.school.save()
    handed_in(day, student)
    header, (row,) = charges_table(OpenedPlan(make_plan(day, by=teacher)))
    told = dict(zip(header, row, strict=True))
    # 970 °C is the pour of sterling in fixtures/shelf.json; 970 x 1.8 + 32 = 1778 °F.
    assert told[f"Pour temperature [°{unit}]"] == pour
    assert told["Waxes"] == 1 and isinstance(told["Charge [g]"], Decimal)
