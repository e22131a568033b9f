"""The recast list: a place kept without a wax, who pays, and what a bill makes of it."""

import datetime as dt
from decimal import Decimal as D

import pytest
from django.utils import timezone

from casting.models import BenchChange, PieceDefect, Recast, Wax
from casting.models.errors import NotPlanned
from casting.selectors.account.bills import open_bills
from casting.services.account.bills import make_bill
from casting.services.account.book import NotBooked
from casting.services.day_life import cancel
from casting.services.running.mishaps import Met, note_mishap
from casting.services.running.recast import decide_who_pays, keep_place, put_on_list
from tests.casting.account_days import cast, invest, lot_of, prices
from tests.casting_factories import DayFactory


@pytest.fixture
def row(planned, teacher):
    invest(planned, teacher)
    note_mishap(planned, Met("leaked", ("A",), "none"), by=teacher)
    return Recast.objects.order_by("wax__tag").first()


@pytest.fixture
def again(course):
    return DayFactory(course=course, pour_at=timezone.now() + dt.timedelta(days=30))


def test_a_place_is_kept_and_no_wax_is_made_and_it_is_let_go(row, again, teacher):
    waxes = Wax.objects.count()
    for _twice in range(2):
        keep_place(row, again, by=teacher)
    row.refresh_from_db()
    assert row.next_day == again and row.version == 2 and Wax.objects.count() == waxes
    change = BenchChange.objects.get(do="place")
    assert change.before == {"place": ""} and change.after["place"] and change.by_person == teacher
    keep_place(row, None, by=teacher)
    row.refresh_from_db()
    assert row.next_day is None


def test_a_day_of_another_class_or_that_takes_no_waxes_is_refused(row, again, teacher):
    other = DayFactory(course__school=row.wax.day.course.school)
    type(again).objects.filter(pk=again.pk).update(closed_at=timezone.now())
    again.refresh_from_db()
    for day in (other, again):
        with pytest.raises(NotPlanned, match="takes no waxes of its student"):
            keep_place(row, day, by=teacher)
    cancel(again, "the pump is broken", by=teacher)
    with pytest.raises(NotPlanned, match="is cancelled"):
        keep_place(row, type(again).objects.get(pk=again.pk), by=teacher)


def test_no_place_is_kept_for_a_piece_that_nobody_casts_again(row, again, teacher):
    Recast.objects.filter(pk=row.pk).update(fate="look")
    with pytest.raises(NotPlanned, match="is not to be cast again"):
        keep_place(row, again, by=teacher)


def test_only_what_did_not_come_out_or_fill_is_put_on_the_list(planned, teacher):
    wax = planned.waxes.order_by("tag").first()
    with pytest.raises(NotPlanned, match="Nobody noted that"):
        put_on_list(wax, by=teacher)
    PieceDefect.objects.create(wax=wax, kind="incomplete", where="thin")
    assert put_on_list(wax, by=teacher) == put_on_list(wax, by=teacher)
    assert Recast.objects.get().fate == "again" and BenchChange.objects.filter(do="piece").count() == 1


@pytest.fixture
def billed(planned, teacher):
    """Three castings of 10.25 g are weighed; the first is cast again, as it did not fill."""
    invest(planned, teacher)
    cast(planned, "A", lot_of(planned.course.school, teacher), teacher)
    prices(planned.course.school, teacher)
    wax = planned.waxes.order_by("tag").first()
    PieceDefect.objects.create(wax=wax, kind="incomplete", where="thin")
    return put_on_list(wax, by=teacher)


def charged(day, student, teacher):
    bill = make_bill(day, student, by=teacher)
    return sorted(line["tag"] for line in bill.details["lines"] if line["part"] == "metal")


def test_a_bill_waits_until_somebody_has_decided_who_pays_for_the_first(billed, planned, student, teacher):
    with pytest.raises(NotBooked, match=f"Nobody has decided who pays for the first casting of {billed.wax.tag}"):
        make_bill(planned, student, by=teacher)
    assert open_bills(planned)[0].undecided == [billed.wax.tag]


@pytest.mark.parametrize(("pays", "pieces"), [("school", 2), ("student", 3)])
def test_the_first_is_charged_to_whoever_pays_for_it(billed, planned, student, teacher, pays, pieces):
    """By hand: 10.25 g at 1.60 is 16.40 for each piece that is charged."""
    decide_who_pays(billed, pays, by=teacher)
    decide_who_pays(billed, pays, by=teacher)
    tags = charged(planned, student, teacher)
    assert len(tags) == pieces and (billed.wax.tag in tags) is (pays == "student")
    lines = planned.entries.get(kind="bill").details["lines"]
    assert sum(D(line["amount"]) for line in lines if line["part"] == "metal") == pieces * D("16.40")
    with pytest.raises(NotPlanned, match="Bill 1 is made, so who pays for"):
        decide_who_pays(billed, "", by=teacher)
    assert BenchChange.objects.filter(do="pays").count() == 1


def test_somebody_else_does_not_pay(billed, teacher):
    with pytest.raises(NotPlanned, match="Choose who pays"):
        decide_who_pays(billed, "nobody", by=teacher)
