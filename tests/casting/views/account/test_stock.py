"""The stock of metal, as a teacher books it."""

import uuid
from decimal import Decimal as D

import pytest
from django.urls import reverse

from casting.models import Account, AccountEntry, Alloy, Lot
from casting.services.account.stock import bring_own
from school.students import remove
from tests.casting.account_days import all_zero, balance, cast, invest, lot_of, metal, prices

STOCK = "/stock/"


def sent(do, **typed):
    return {"do": do, "key": str(uuid.uuid4())} | typed


def a_lot(school, **changed):
    plain = {"alloy": str(metal(school).pk), "weight": "250", "bought_on": "2026-11-20", "price": "170,50"}
    return sent("lot", **plain | {"supplier": "Harbour Bullion", "certificate": "C-17"} | changed)


@pytest.fixture
def safe(day, school):
    """A school with a shelf and nothing in the safe."""
    return school


def test_a_lot_goes_into_the_safe(safe, teacher_client):
    assert "No metal is booked yet" in teacher_client.get(STOCK).content.decode()
    typed = a_lot(safe)
    assert [teacher_client.post(STOCK, typed).status_code for _nth in range(2)] == [302, 302], "once, sent twice"
    lot = Lot.objects.get()
    assert (lot.weight_g, lot.price, lot.supplier, lot.certificate) == (D(250), D("170.50"), "Harbour Bullion", "C-17")
    text = teacher_client.get(STOCK).content.decode()
    assert "Lot 1</span> <b>250.00\u202fg</b>" in text and "certificate C-17" in text and "170.50" in text
    assert "Fri 20 Nov 2026, Harbour Bullion" in text and "Lot bought, sterling silver 250.00\u202fg" in text
    assert all_zero(safe)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"weight": "-250"}, "“-250” is below zero"),
        ({"weight": ""}, "Write what the scale shows."),
        ({"alloy": ""}, "Choose a metal."),
        ({"alloy": "999999"}, "Choose a metal."),
        ({"bought_on": "yesterday"}, "Write the day."),
        ({"price": "1.234"}, "“1.234” is no price"),
        ({"weight": "60000"}, "at most 50000.00\u202fg"),
    ],
)
def test_a_lot_that_cannot_be_is_said_and_not_booked(safe, teacher_client, changed, said):
    answer = teacher_client.post(STOCK, a_lot(safe, **changed))
    assert answer.status_code in (409, 422) and said in answer.content.decode()
    assert "Harbour Bullion" in answer.content.decode() and not AccountEntry.objects.exists()


def test_own_metal_comes_and_goes(safe, student, teacher_client):
    own = {"student": str(student.pk), "alloy": str(metal(safe).pk)}
    teacher_client.post(STOCK, sent("own_in", weight="31.1", **own))
    assert "Sunniva Okoro</span> <b>31.10\u202fg</b>" in teacher_client.get(STOCK).content.decode()
    answer = teacher_client.post(STOCK, sent("own_out", weight="31.2", **own))
    assert answer.status_code == 409 and "0.10\u202fg less is there" in answer.content.decode()
    teacher_client.post(STOCK, sent("own_out", weight="31.1", **own))
    assert balance(Account.objects.get(kind="own")) == 0


def test_own_metal_of_who_has_left_and_of_a_metal_no_longer_worked_with_is_handed_back(
    safe, student, classmate, teacher, teacher_client
):
    bring_own(student, metal(safe), D("31.1"), by=teacher)
    Alloy.objects.filter(pk=metal(safe).pk).update(offered=False)
    for gone in (student, classmate):
        remove(teacher, gone.pk)
    own = {"student": str(student.pk), "alloy": str(metal(safe).pk)}
    teacher_client.post(STOCK, sent("own_out", weight="31.1", **own))
    assert balance(Account.objects.get(kind="own")) == 0
    other = teacher_client.post(STOCK, sent("own_out", weight="1", **own | {"student": str(classmate.pk)}))
    assert other.status_code == 422 and "Choose whose metal it is." in other.content.decode()


def test_a_heap_is_counted_and_sent_away(safe, teacher, teacher_client):
    lot = lot_of(safe, teacher)
    teacher_client.post(STOCK, sent("count", account=str(lot.pk), weight="499.2", note="scale checked"))
    teacher_client.post(STOCK, sent("send", account=str(lot.pk), weight="99.2"))
    assert balance(lot) == D(400)
    text = teacher_client.get(STOCK).content.decode()
    assert "Stock counted, sterling silver 0.80\u202fg <bdi>(scale checked)</bdi>" in text
    answer = teacher_client.post(STOCK, sent("count", account="", weight="1"))
    assert answer.status_code == 422 and "Choose what it is." in answer.content.decode()


def test_a_booking_of_the_stock_is_taken_back(safe, teacher, teacher_client, other_teacher_client):
    lot_of(safe, teacher)
    address = reverse("take_back_stock", args=[AccountEntry.objects.get().pk])
    assert other_teacher_client.post(address).status_code == 404
    assert "Both stay in the account." in teacher_client.post(address, follow=True).content.decode()
    assert "This entry is taken back already." in teacher_client.post(address, follow=True).content.decode()
    assert all_zero(safe) and AccountEntry.objects.count() == 2


def test_no_other_step_is_there(safe, teacher_client):
    assert teacher_client.post(STOCK, sent("melt")).status_code == 404


def test_the_pages_ask_as_often_for_much_as_for_little(
    planned, student, teacher, teacher_client, school, django_assert_max_num_queries
):
    invest(planned, teacher)
    lot = lot_of(school, teacher)
    cast(planned, "A", lot, teacher)
    prices(school, teacher)
    for _nth in range(4):
        lot_of(school, teacher)
        bring_own(student, metal(school), D(3), by=teacher)
    with django_assert_max_num_queries(14):
        assert teacher_client.get(STOCK).status_code == 200
