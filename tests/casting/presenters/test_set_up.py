"""The steps of a set-up, and what stands now."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import Alloy, HouseRules, Investment, Kiln
from casting.presenters.set_up import SetUp, State
from casting.services.demo import record_safety
from casting.services.set_up import look_at
from casting.services.shelf import change
from casting.services.stock import stock_school
from tests.factories import PersonFactory


@pytest.fixture
def stocked(school):
    stock_school(school)
    return school


def step(school, key):
    school.refresh_from_db()
    return next(step for step in SetUp(school).steps if step.key == key)


def test_a_new_school_has_looked_at_nothing(stocked):
    way = SetUp(stocked)
    assert (way.looked_at, len(way.steps), way.next_step.key) == (0, 9, "school")
    assert {one.key for one in way.steps if one.state is State.LACKS} == {"kilns", "safety"}


def test_what_is_left_as_it_is_is_done_but_what_is_missing_stays_missing(stocked):
    for key in ("flasks", "kilns"):
        look_at(stocked, key)
    assert step(stocked, "flasks").state is State.DONE
    assert step(stocked, "kilns").state is State.LACKS
    assert SetUp(stocked).looked_at == 2


def test_the_school_s_line(stocked):
    assert step(stocked, "school").stands == "Tidewater Bench School, America/New_York, 12 m; g, °C, mm; A4"
    stocked.elevation_m, stocked.changed_at = None, timezone.now()
    stocked.save()
    assert step(stocked, "school").lacks == ["height above the sea"]
    stocked.elevation_m, stocked.length_unit = 1609, "in"
    stocked.save()
    # 1609 m / 0.3048 m = 5278.9 ft
    assert "5279 ft" in step(stocked, "school").stands


def test_prices_count_once_they_are_the_school_s(stocked, teacher):
    Alloy.objects.exclude(key__in=["sterling", "si-bronze"]).update(offered=False)
    assert step(stocked, "metals").stands == "Sterling silver, silicon bronze offered; no price is yours yet"
    sterling = Alloy.objects.get(key="sterling")
    change(sterling, {"price_per_g": 1.35}, sterling.version, teacher)
    after = step(stocked, "metals")
    assert after.stands.endswith("1 price is yours") and after.looked_at
    Alloy.objects.filter(key="si-bronze").update(price_per_g=None)
    assert step(stocked, "metals").lacks == ["price of silicon bronze"]


def test_many_metals_are_counted(stocked):
    # fixtures/shelf.json offers eight.
    assert "14k yellow gold and 4 more offered" in step(stocked, "metals").stands


def test_a_powder_of_unknown_kind_is_asked_about(stocked):
    assert step(stocked, "powder").stands == "Gypsum: gypsum (plaster), water 40 to 100, working time 9.5 min"
    assert step(stocked, "powder").lacks == []
    Investment.objects.update(kind=Investment.Kind.UNKNOWN, water_c=None)
    assert step(stocked, "powder").lacks == ["kind of powder", "temperature of the water"]


def test_a_kiln_whose_controller_is_known_asks_nothing(stocked):
    Kiln.objects.filter(key="k2").update(offered=False)
    told = step(stocked, "kilns")
    assert told.stands == "Kiln 1, 356 × 356 × 250 mm; delayed start: not recorded"
    assert told.lacks == ["delayed start", "whether the controller runs ramps by itself"]
    Kiln.objects.update(delayed_start=True, runs_program=True)
    assert step(stocked, "kilns").lacks == []


def test_flasks_firings_and_people_are_listed(stocked, teacher):
    assert step(stocked, "flasks").stands.startswith("50.8 × 63.5\u202fmm: 5, ")
    assert len(step(stocked, "firings").stands.split(", ")) == 3
    assert step(stocked, "people").stands == "1 teacher, 0 helpers, 0 classes. Each casting day asks for its hours"
    stocked.opens, stocked.closes = dt.time(9), dt.time(18, 30)
    stocked.save()
    assert step(stocked, "people").stands.endswith("A new casting day begins with 09:00 to 18:30")
    PersonFactory(school=stocked, role="helper")
    assert step(stocked, "people").looked_at


def test_rules_of_the_school_are_counted(stocked):
    assert not step(stocked, "rules").looked_at
    rules, _made = HouseRules.objects.get_or_create(school=stocked, key="house")
    rules.rules = rules.rules | {"hands": 2}
    rules.save()
    assert step(stocked, "rules").stands == "1 rule is yours"


def test_a_safety_record_is_whole_in_part_or_not_there(stocked):
    assert step(stocked, "safety").lacks == ["the whole record"]
    record = record_safety(stocked)
    assert step(stocked, "safety").lacks == []
    record.eyewash = None
    record.save()
    assert step(stocked, "safety").lacks == ["1 answer"]


def test_a_school_with_nothing_on_its_shelf_still_has_its_steps(school):
    assert step(school, "powder").lacks == ["investment"]
    assert step(school, "powder").address.startswith("/shelf/powders/new/")
