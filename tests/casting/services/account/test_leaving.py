"""A school that goes takes its account along, at whatever place its deletion begins."""

from casting.apps import CastingConfig
from casting.models import Account, AccountEntry, Lot, SchoolLeaving, Transfer
from casting.services.account.leaving import let_go, listen
from school.models import School
from tests.casting.account_days import cast, invest, lot_of, prices


def test_a_school_goes_with_all_that_it_booked(planned, teacher, school):
    invest(planned, teacher)
    cast(planned, "A", lot_of(school, teacher), teacher)
    prices(school, teacher)
    number = school.pk
    School.objects.filter(pk=number).delete()
    assert not any(model.objects.exists() for model in (Account, AccountEntry, Lot, Transfer))
    assert SchoolLeaving.objects.get().number == number


def test_it_is_noted_once_however_often_it_is_heard(school):
    assert CastingConfig.name == "casting"
    listen()
    let_go(school)
    let_go(school)
    assert SchoolLeaving.objects.count() == 1
