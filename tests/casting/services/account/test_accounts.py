"""An account is made when something first goes there, and found ever after."""

from casting.models import Account, Lot
from casting.services.account import accounts
from tests.casting.account_days import lot_of, metal


def test_each_account_is_there_once(day, student, teacher, school):
    lot, silver = lot_of(school, teacher), metal(school)
    finds = [
        lambda: accounts.lot_account(Lot.objects.get()),
        lambda: accounts.pile(school, "buttons", silver, 1),
        lambda: accounts.pile(school, "buttons", silver, 2),
        lambda: accounts.pile(school, "sprues", silver, 1),
        lambda: accounts.flask_account(day, "A", silver),
        lambda: accounts.own_account(student, silver),
        lambda: accounts.castings_account(student, silver),
        lambda: accounts.metal_account(school, "loss", silver),
        lambda: accounts.owes(student),
        lambda: accounts.money(school, "sales", "metal"),
        lambda: accounts.money(school, "till"),
    ]
    first = [find() for find in finds]
    assert [find() for find in finds] == first and len({one.pk for one in first}) == len(finds)
    assert first[0] == lot and {one.school for one in first} == {school}
    assert {one.is_metal for one in first[-3:]} == {False} and all(one.is_metal for one in first[:-3])
    assert Account.objects.filter(kind="lot").count() == 1
