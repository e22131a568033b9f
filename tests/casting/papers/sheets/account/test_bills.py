"""The bills on paper: typeset and read back; one student's figures on nobody else's."""

import re
from decimal import Decimal as D

import pytest
from django.urls import reverse

from casting.papers.pdf.render import render
from casting.papers.sheets.account.bills import bills_html
from casting.services.account.bills import make_bills, pay
from school.models import Role
from tests.casting.account_days import cast, invest, lot_of, prices
from tests.casting.papers.printed import job_of
from tests.casting.papers.sheets.test_day_plan import words_of
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory


@pytest.fixture
def billed(planned, teacher, school):
    invest(planned, teacher)
    cast(planned, "A", lot_of(school, teacher), teacher)
    prices(school, teacher)
    make_bills(planned, by=teacher)
    return planned


def test_a_bill_is_read_back_from_its_paper(billed, teacher):
    text = words_of(render(bills_html(job_of(billed))))
    assert "Sunniva Okoro" in text and "Bill 1, made" in text and "prices version 1" in text
    assert "10.25 g at 1.60" in text.replace("\u202f", " ") and "87.20" in text and "to be paid" in text
    pay(billed.entries.get(kind="bill"), D("20.5"), by=teacher)
    assert "20.50 paid, <b>66.70 still due</b>" in bills_html(job_of(billed)).replace("\u202fUSD", "")
    pay(billed.entries.get(kind="bill"), by=teacher)
    assert re.search(r"together, <b>paid ", bills_html(job_of(billed)))


def test_a_bill_in_pennyweights_has_the_grams_that_its_price_is_of(billed, school):
    billed.course.school.weight_unit = "dwt"
    page = bills_html(job_of(billed)).replace("\u202f", " ")
    # 10.25 g / 1.55517384 g (a pennyweight) = 6.591.
    assert "6.59 dwt (10.25 g) at 1.60" in page


def test_no_bill_no_paper(planned, teacher_client):
    assert bills_html(job_of(planned)) is None
    assert teacher_client.get(reverse("paper_pdf", args=[planned.pk, "bills"])).status_code == 404


@pytest.mark.usefixtures("blank_papers")
def test_the_papers_of_the_account_come_by_the_address_of_papers(billed, teacher_client, school):
    helper = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    for key, of_helper in (("weigh-back", 200), ("stock", 403), ("bills", 403)):
        address = reverse("paper_pdf", args=[billed.pk, key])
        answer = teacher_client.get(address)
        assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf"), key
        assert helper.get(address).status_code == of_helper
