"""What is planned of a flask, and what the account has of it after weighings and corrections."""

from decimal import Decimal as D

from casting.models import AccountEntry, Flask
from casting.selectors.account.flasks import BookedFlask, booked_flasks, booked_on, exact, planned_flask, planned_flasks
from casting.services.account.corrections import correct
from tests.casting.account_days import cast, invest, lot_of


def test_a_planned_flask_says_what_its_plan_says(planned):
    (flask,) = planned_flasks(planned)
    assert (flask.label, flask.alloy.key, flask.owner, flask.on_bench) == ("A", "sterling", None, False)
    assert flask.charge_g == D("119.5")  # 3 x 3.20 / 0.96 x 10.36 and 15 % are 119.14, weighed as 119.5
    assert set(flask.metal_g) == {wax.tag for wax in flask.waxes} and set(flask.metal_g.values()) == {D("34.53")}
    assert planned_flask(planned, "B") is None


def test_a_day_without_a_plan_has_no_flasks(day):
    assert planned_flasks(day) == [] and booked_flasks(day) == {}


def test_what_is_taken_back_counts_no_more(planned, teacher, school):
    invest(planned, teacher)
    lot = lot_of(school, teacher)
    flask = cast(planned, "A", lot, teacher, each="30")
    booked = booked_flasks(planned)["A"]
    assert (booked.metal.charge_g, booked.metal.castings_g, booked.metal.left_g, booked.left_g) == (
        D("119.5"), 90, D("0.1"), 0,
    )  # fmt: skip
    assert (booked.melts, booked.fresh_pct, booked.settled.by, booked.not_cast) == (1, 100, teacher, [])
    assert booked.cast_g == {wax.pk: 30 for wax in flask.waxes}
    for kind in ("settled", "weigh_back"):
        correct(AccountEntry.objects.get(kind=kind), by=teacher)
    booked = booked_flasks(planned)["A"]
    assert (booked.metal.back_g, booked.left_g, booked.settled) == (0, D("119.5"), None)
    assert set(booked.cast_g.values()) == {0} and booked.given == {lot: D("119.5")}


def test_nothing_booked_is_nothing():
    empty = BookedFlask()
    assert (empty.metal.charge_g, empty.left_g, empty.melts, empty.fresh_pct, empty.not_cast) == (0, 0, 1, 0, [])
    assert exact(0.1) == D("0.1")


def test_it_asks_as_often_for_many_weighings(board, teacher, school, django_assert_num_queries):
    lot = lot_of(school, teacher)
    for label in invest(board, teacher):
        cast(board, label, lot, teacher)
        with django_assert_num_queries(3):
            booked_flasks(board)
    assert Flask.objects.filter(day=board).count() > 1


def test_many_days_at_once_hold_the_same_weights(board, teacher, school, django_assert_num_queries):
    lot = lot_of(school, teacher)
    first, *others = invest(board, teacher)
    for label in (first, *others):
        cast(board, label, lot, teacher, each="9")
    for kind in ("settled", "weigh_back"):
        correct(AccountEntry.objects.filter(kind=kind, label=first).get(), by=teacher)
    one_by_one = booked_flasks(board)
    with django_assert_num_queries(2):
        at_once = booked_on([board.pk])[board.pk]
    assert at_once.keys() == one_by_one.keys() == {first, *others}
    for label, booked in one_by_one.items():
        assert (at_once[label].metal, at_once[label].left_g) == (booked.metal, booked.left_g)
        assert (at_once[label].cast_g, at_once[label].settled) == (booked.cast_g, booked.settled)
    assert booked_on([]) == {}
