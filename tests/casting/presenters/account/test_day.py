"""The flasks of a day with their account, the heaps that may go into each, and what to buy."""

from decimal import Decimal as D

import pytest

from casting.models import Account
from casting.presenters.account.day import buy_list, flask_lines, stock_for
from casting.selectors.account.balances import all_balances
from casting.selectors.account.bills import open_bills
from casting.selectors.account.flasks import planned_flask
from casting.services.account.book import NotBooked
from casting.services.account.flasks import weigh_out
from casting.services.account.stock import bring_own
from casting.services.running.mishaps import Met, note_mishap, take_back_mishap
from tests.casting.account_days import cast, invest, lot_of, metal
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def test_a_flask_goes_through_its_states(planned, teacher, school):
    def state():
        return flask_lines(planned)[0].state

    assert state() == "invest"
    invest(planned, teacher)
    assert state() == "weigh_out"
    lot = lot_of(school, teacher)
    weigh_out(planned, "A", {lot.pk: D("119.5")}, by=teacher)
    assert state() == "weigh_back" and len(flask_lines(planned)[0].to_weigh) == 3


def test_for_a_flask_that_is_lost_nothing_is_bought_weighed_out_or_waited_for(planned, teacher, school):
    invest(planned, teacher)
    lot = lot_of(school, teacher)
    lines = flask_lines(planned)
    assert [line.buy.charges_g for line in buy_list(lines, {})] == [lines[0].planned.charge_g]
    note_mishap(planned, Met("cracked", ("A",), "unpoured"), by=teacher)
    (line,) = flask_lines(planned)
    assert line.state == "lost" and buy_list([line], {}) == []
    with pytest.raises(NotBooked, match="it is not poured: weigh out nothing for it"):
        weigh_out(planned, "A", {lot.pk: D("119.5")}, by=teacher)
    # Its student has other pieces in other flasks, whose bill does not wait for this one.
    assert [(one.not_weighed, one.pieces) for one in open_bills(planned)] == [([], [])]
    take_back_mishap(planned, "cracked", "A", by=teacher)
    weigh_out(planned, "A", {lot.pk: D("119.5")}, by=teacher)
    note_mishap(planned, Met("cracked", ("A",), "unpoured"), by=teacher)
    assert [len(one.not_weighed) for one in open_bills(planned)] == [3], "metal is still booked in it"


def test_a_settled_flask_says_what_came_out(planned, teacher, school):
    invest(planned, teacher)
    cast(planned, "A", lot_of(school, teacher), teacher)
    (line,) = flask_lines(planned)
    assert line.state == "settled" and line.to_weigh == []
    assert [(weight_g, gone) for _wax, weight_g, gone in line.castings] == [(D("10.25"), False)] * 3
    assert (line.fresh_least_g, line.loss_most_pct, line.loss_most_g) == (D("59.75"), 2, D("2.39"))


def test_the_heaps_for_a_flask_are_of_its_metal_and_owner(planned, student, teacher, school):
    invest(planned, teacher)
    first, flask = lot_of(school, teacher), planned_flask(planned, "A")
    cast(planned, "A", first, teacher)
    lot_of(school, teacher, "si-bronze")
    own = bring_own(student, metal(school), D(50), by=teacher).transfers.get().to_account
    for melts in (3, 1):
        Account.objects.get_or_create(school=school, kind="buttons", alloy=metal(school), melts=melts)
    heaps = {one: held for one, held in stock_for(flask, school).items() if held}
    assert [(one.kind, held) for one, held in heaps.items()] == [
        ("lot", D("380.5")), ("buttons", D("87.65")), ("sprues", D("1.00")),
    ]  # fmt: skip
    handed_in(planned, student, own_metal=True)
    make_plan(planned, teacher)
    theirs = next(line.planned for line in flask_lines(planned) if line.planned.owner)
    assert stock_for(theirs, school) == {own: D(50)}


def test_what_to_buy_counts_neither_own_metal_nor_what_is_weighed_out(planned, student, teacher, school):
    """By hand: 119.5 and 2 %, with a spare of 119.5, are 241.39; 100 are there."""
    handed_in(planned, student, own_metal=True)
    make_plan(planned, teacher)
    lot = lot_of(school, teacher, grams="100")
    (line,) = buy_list(flask_lines(planned), all_balances(school))
    assert (line.alloy, line.buy.buy_g) == (metal(school), D("141.4"))
    assert line.cost == D("141.4") * D(str(metal(school).price_per_g))
    more = lot_of(school, teacher, grams="100")
    invest(planned, teacher)
    weigh_out(planned, "A", {lot.pk: D("60"), more.pk: D("59.5")}, by=teacher)
    assert buy_list(flask_lines(planned), all_balances(school)) == []
