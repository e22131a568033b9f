"""Figures of past days: each from what was weighed and noted, and none from what was not."""

import pytest

from casting.calc.values.enums import Tick
from casting.models import CastingDay, PieceDefect, StepRecord
from casting.presenters.looking_back.past_figures import buttons, gloss_off, kiln_rates, losses, metal_to_wax, pours
from casting.selectors.looking_back.past_days import past_days
from tests.casting.account_days import lot_of
from tests.casting.past_days import earlier, poured, read, weighed

pytestmark = pytest.mark.django_db


@pytest.fixture
def past(planned):
    return earlier(planned, 7)


@pytest.fixture
def lot(school, teacher):
    return lot_of(school, teacher)


def days(school):
    return past_days(school)


def values(figures):
    return [round(figure.value, 6) for figure in figures]


def test_a_flask_that_filled_tells_its_button_its_loss_and_its_metal(past, lot, teacher, school):
    # 3 castings of 33 g and 1 g of sprues are 100 g of metal. The plan weighs out 119.5 g: 19.5 g beyond them, 19.5 %,
    # of which 18 g came back as button; 1.5 g are lost, 1.255230 %. Each wax is 3.2 g: 100 / 9.6 = 10.416667 g of
    # metal for a gram.
    weighed(past, lot, teacher, "18")
    shares, least = buttons(days(school))
    assert {key: values(found) for key, found in shares.items()} == {"medium": [19.5]} and not least
    assert shares["medium"][0].of == 100
    assert values(losses(days(school))["sterling"]) == [1.25523]
    (found,) = metal_to_wax(days(school)).items()
    assert found[0] == ("sterling", "carving-wax") and values(found[1]) == [10.416667]


def test_sprues_or_a_button_that_nobody_weighed_are_not_nothing(past, lot, teacher, school):
    weighed(past, lot, teacher, "18.9", sprues="0", each="33.4")
    assert buttons(days(school)) == ({}, {}) and not metal_to_wax(days(school))
    # The loss is told all the same: the button may hang on its sprues. 119.5 - 100.2 - 18.9 = 0.4 g.
    assert values(losses(days(school))["sterling"]) == [0.334728]


def test_the_button_of_a_flask_that_did_not_fill_teaches_nothing(past, lot, teacher, school):
    weighed(past, lot, teacher, "18")
    wax = past.waxes.first()
    defect = PieceDefect.objects.create(wax=wax, kind="incomplete", where="thin")
    assert buttons(days(school)) == ({}, {})
    PieceDefect.objects.filter(pk=defect.pk).update(kind="rough")
    assert buttons(days(school))[0]


def test_minutes_from_the_kiln_to_the_pour(past, school):
    assert pours(days(school)) == ([], [])
    poured(past, 6)
    takes, apart = pours(days(school))
    assert values(takes) == [6.0] and apart == []


def test_two_pours_that_the_plan_sets_as_close_as_it_may_tell_the_pitch(board, school):
    past = earlier(board, 7)
    poured(past, 6)
    poured(past, 15, "B")
    _takes, apart = pours(days(school))
    # Both flasks of the board pour 8 min apart, the pitch of the house rules; noted were 6 and 15 min after.
    assert values(apart) == [9.0]


def test_a_kiln_tells_how_fast_it_falls_and_not_how_fast_it_could_climb(past, school):
    # The plan climbs at 167 C an hour, and the kiln can do 250.
    read(past, (10, 45), (40, 120), (560, 720), (600, 640))
    climbs, falls = kiln_rates(days(school))
    assert not climbs and values(falls["k1"]) == [120.0]
    assert falls["k1"][0].of == 732 - 538


def test_readings_of_a_kiln_that_nobody_noted_on_tell_nothing(past, school):
    read(past, (560, 720), (600, 640))
    past.steps_done.all().delete()
    assert kiln_rates(days(school)) == ({}, {})


def test_the_gloss_is_told_where_somebody_measured_it(past, school):
    assert gloss_off(days(school)) == []
    CastingDay.objects.filter(pk=past.pk).update(gloss_off_min=8.5)
    assert values(gloss_off(days(school))) == [8.5]
    for bowl, minutes in (("A", 9.2), ("B", 8.8)):
        StepRecord.objects.create(day=past, do=Tick.GLOSS, what=bowl, done_at=past.pour_at, figures={"min": minutes})
    assert values(gloss_off(days(school))) == [9.2, 8.8], "the bowls themselves, and not the day's figure once more"
