"""The bills of a day: made at once, paid one by one, as a list; and told to the student on the phone."""

import csv
import io
from decimal import Decimal as D

import pytest
from django.urls import reverse
from django.utils import timezone

from casting.models import AccountEntry, CastingDay
from casting.services.account.corrections import correct
from tests.casting.account_days import cast, invest, lot_of, of_kind, prices
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


@pytest.fixture
def settled(planned, teacher, school):
    invest(planned, teacher)
    cast(planned, "A", lot_of(school, teacher), teacher)
    prices(school, teacher)
    return planned


@pytest.fixture
def page(settled):
    return reverse("bills", args=[settled.pk])


def test_bills_are_made_and_paid(settled, page, teacher_client, school):
    """By hand: 3 x 10.25 x 1.60 = 49.20, 3 x 6, the class 20: 87.20."""
    assert "no bill yet" in teacher_client.get(page).content.decode()
    account, sheet = reverse("metal_account", args=[settled.pk]), reverse("paper_pdf", args=[settled.pk, "bills"])
    assert sheet not in teacher_client.get(account).content.decode(), "there is none to print"
    text = teacher_client.post(page, follow=True).content.decode()
    assert sheet in teacher_client.get(account).content.decode()
    assert "1 bill is made." in text and "87.20" in text and "10.25\u202fg at 1.60" in text
    bill = AccountEntry.objects.get(kind="bill")
    address = reverse("pay_bill", args=[settled.pk, bill.pk])
    for amount, said in (
        ("seven", "seven"), ("1,234.5", "1,234.5"), ("90", "of bill 1 is still due"),
        ("7.20", "A payment of bill 1 is booked."),
    ):  # fmt: skip
        text = teacher_client.post(address, {"amount": amount}, follow=True).content.decode()
        assert said in text
    assert "80.00 USD</b>" in text.replace("\u202f", " ").replace(" still due", "") and "7.20" in text
    assert of_kind(school, "owes") == [80]
    teacher_client.post(reverse("take_back", args=[settled.pk, AccountEntry.objects.get(kind="payment").pk]))
    assert "Bill 1 is paid." in teacher_client.post(address, follow=True).content.decode()
    assert "Bill 1 is paid already." in teacher_client.post(address, follow=True).content.decode()
    assert of_kind(school, "owes") == [0]
    payment = AccountEntry.objects.filter(kind="payment").latest("pk")
    teacher_client.post(reverse("take_back", args=[settled.pk, payment.pk]))
    assert of_kind(school, "owes") == [D("87.20")]


def test_why_a_bill_is_not_made_is_said(settled, page, classmate, teacher, teacher_client):
    handed_in(settled, classmate)
    make_plan(settled, teacher)
    text = teacher_client.post(page, follow=True).content.decode()
    assert "1 bill is made." in text and "1 student has a flask that is not settled: no bill yet." in text
    assert ">Make the bills<" not in text and "can be made once every flask" in text, "nothing is left to press"


def test_without_prices_the_page_leads_to_them(planned, teacher_client):
    text = teacher_client.get(reverse("bills", args=[planned.pk])).content.decode()
    assert "No prices are kept yet." in text and 'href="/prices/"' in text and "Make the bills" not in text


def test_a_closed_day_takes_money_and_makes_no_bill(settled, page, teacher, teacher_client):
    teacher_client.post(page)
    CastingDay.objects.filter(pk=settled.pk).update(ended_at=timezone.now())
    bill = AccountEntry.objects.get(kind="bill")
    assert (
        "Bill 1 is paid."
        in teacher_client.post(reverse("pay_bill", args=[settled.pk, bill.pk]), follow=True).content.decode()
    )
    assert "This casting day is closed" in teacher_client.post(page, follow=True).content.decode()
    assert AccountEntry.objects.filter(kind="bill").count() == 1


def test_the_list_is_safe_against_formulas(settled, page, student, teacher_client):
    type(student).objects.filter(pk=student.pk).update(called="=cmd|' /C calc'!A0")
    teacher_client.post(page)
    answer = teacher_client.get(reverse("bills_csv", args=[settled.pk]))
    header, *rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert header[:4] == ["Bill", "Student", "Tag", "For"] and len(rows) == 7
    assert {row[1] for row in rows} == {"'=cmd|' /C calc'!A0"}
    assert sum(D(row[6]) for row in rows) == D("87.20") and rows[0][4:7] == ["10.25", "1.6", "16.40"]


def test_another_school_sees_no_bill(settled, page, other_teacher_client):
    assert other_teacher_client.get(page).status_code == 404


def test_a_student_reads_weight_and_bill(settled, page, student_client, classmate_client, teacher_client, teacher):
    text = student_client.get("/my-waxes/").content.decode()
    assert "Your casting weighs <b>10.25\u202fg</b>." in text and "Your bill" not in text
    teacher_client.post(page)
    mark = student_client.get("/my-waxes/").context["mark"]
    text = student_client.get("/my-waxes/").content.decode()
    assert "Your bill 1: 87.20" in text and "to be paid" in text and "10.25\u202fg at 1.60" in text
    bill = AccountEntry.objects.get(kind="bill")
    teacher_client.post(reverse("pay_bill", args=[settled.pk, bill.pk]))
    answer = student_client.get("/my-waxes/")
    assert ", paid</summary>" in answer.content.decode() and answer.context["mark"] != mark
    assert "87.20" not in classmate_client.get("/my-waxes/").content.decode()
    correct(AccountEntry.objects.get(kind="payment"), by=teacher)
    correct(bill, by=teacher)
    assert "Your bill" not in student_client.get("/my-waxes/").content.decode()
