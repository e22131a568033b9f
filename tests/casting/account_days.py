"""A day whose flasks are invested, metal bought for it, and flasks weighed out and back: for tests of the account."""

import datetime as dt
from decimal import Decimal as D

from casting.calc.quantities.account.bill import Prices
from casting.models import Account, AccountEntry, Alloy, Flask
from casting.selectors.account.balances import balances_of, sums
from casting.selectors.account.flasks import planned_flask, planned_flasks
from casting.services.account.bills import keep_prices
from casting.services.account.flasks import Back, settle, weigh_back, weigh_out
from casting.services.account.stock import LotEntry, buy_lot
from casting.services.flasks import fix_flask

BOUGHT = dt.date(2026, 11, 20)


def metal(school, key="sterling"):
    return Alloy.objects.get(school=school, key=key)


def lot_of(school, by, key="sterling", grams="500", **more):
    """The account of a lot that was bought."""
    entry = LotEntry(alloy=metal(school, key), weight_g=D(grams), bought_on=BOUGHT, **more)
    return Account.objects.get(lot=buy_lot(school, entry, by=by))


def invest(day, by):
    """Mark every flask of the day as invested, and return their labels."""
    labels = [flask.label for flask in planned_flasks(day)]
    for label in labels:
        fix_flask(day, label, Flask.State.INVESTED, by=by)
    return labels


def cast(day, label, lot, by, each="10.25", rest="1.00"):
    """Weigh a flask out as planned and back: castings of so much each, this much of sprues, the button the rest."""
    flask = planned_flask(day, label)
    weigh_out(day, label, {lot.pk: flask.charge_g}, by=by)
    castings = {wax.pk: D(each) for wax in flask.waxes}
    button = flask.charge_g - sum(castings.values()) - D(rest) - D("0.1")
    weigh_back(day, label, Back(castings, button, D(rest)), by=by)
    settle(day, label, by=by)
    return flask


def prices(school, by, version=0, gram="1.60"):
    rules = Prices({"sterling": D(gram)}, per_piece=D(6), class_fee=D(20), own_piece=D(9), minimum=D(25))
    return keep_prices(school, rules, by=by, version=version)


def an_entry(day, by):
    """An entry of the day's account: the charge of an invested flask if there is one."""
    invested = [flask for flask in planned_flasks(day) if flask.on_bench and not flask.owner]
    for flask in invested:
        lot = lot_of(day.course.school, by, flask.alloy.key, "900")
        return weigh_out(day, flask.label, {lot.pk: flask.charge_g}, by=by)
    lot_of(day.course.school, by)
    return AccountEntry.objects.create(school=day.course.school, kind="count", day=day, by=by, note="nothing moved")


def balance(account):
    return balances_of([account.pk])[account.pk]


def of_kind(school, kind):
    """The balances of a kind of account, in the order in which they were made."""
    return [balance(one) for one in Account.objects.filter(school=school, kind=kind).order_by("pk")]


def all_zero(school):
    """Whether every metal and money sum up to nothing; there must be something to sum up."""
    found = sums(school)
    assert found
    return set(found.values()) == {D(0)}
