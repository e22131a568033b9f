"""A student's entry between form, row and record of changes."""

from decimal import Decimal

from casting.models.wax_entry import entry_of, recorded
from tests.casting_factories import handed_in, wax_entry


def test_a_row_gives_back_the_entry_that_was_handed_in(day, student):
    entry = wax_entry(day, own_metal=True)
    assert entry_of(handed_in(day, student, own_metal=True)) == entry


def test_the_record_holds_plain_values_without_trailing_zeros(day):
    kept = recorded(wax_entry(day, wax_g=Decimal("3.20"), height_mm=Decimal("30.000")))
    assert (kept["wax_g"], kept["height_mm"], kept["sprue_g"]) == ("3.2", "30", "0")
    assert (kept["alloy"], kept["pattern"], kept["sprue_pattern"]) == ("sterling", "carving-wax", None)
    assert kept["entered"] == "3,20"  # as typed
