"""What stands in for a thing that the invented class wants and the school has not."""

import pytest

from casting.models import Alloy, PatternMaterial
from casting.selectors.rehearsal import invented_class, rehearsal_day, stand_in
from casting.services.stock import stock_school


@pytest.fixture
def stocked(school):
    stock_school(school)
    return school


def test_what_the_school_works_with_is_taken_as_it_is(stocked):
    assert stand_in(Alloy, stocked)("si-bronze").key == "si-bronze"


def test_the_first_of_its_kind_stands_in_for_what_is_put_away(stocked):
    PatternMaterial.objects.filter(key="carving-wax").update(offered=False)
    # The shelf's order: carving wax, injection wax, printed resin (fixtures/shelf.json).
    assert stand_in(PatternMaterial, stocked)("carving-wax").key == "injection-wax"


def test_where_no_other_of_its_kind_is_the_first_of_all_stands_in(stocked):
    PatternMaterial.objects.filter(key="print-resin").update(offered=False)
    assert stand_in(PatternMaterial, stocked)("print-resin").key == "carving-wax"


def test_a_school_that_has_not_rehearsed_has_no_day(stocked, day):
    assert rehearsal_day(stocked) is None
    assert len(invented_class()["students"]) == 10  # counted in fixtures/demo_class.json
