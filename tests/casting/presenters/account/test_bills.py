"""Bills in words, from what each keeps of the day it was made."""

from decimal import Decimal as D

from casting.models import AccountEntry
from casting.presenters.account.bills import (
    bills_in_order,
    bills_table,
    own_account,
    shown,
    student_lines,
)
from casting.services.account.bills import make_bill, pay
from school.students import merge
from tests.casting.account_days import cast, invest, lot_of, prices


def billed(planned, student, teacher, school, gram="1.60"):
    invest(planned, teacher)
    cast(planned, "A", lot_of(school, teacher), teacher)
    prices(school, teacher, gram=gram)
    return make_bill(planned, student, by=teacher)


def test_a_bill_is_told_as_it_was_made(planned, student, teacher, school):
    bill = billed(planned, student, teacher, school, gram="1.6055")
    told = shown(bill, (), school)
    assert (told.number, told.version, told.total, told.paid) == (1, 1, D("87.38"), None)  # 3 x 16.46 and 38
    assert [line.words for line in told.lines] == ["metal by weight", "piece"] * 3 + ["class fee"]
    assert told.lines[0].working == "10.25\u202fg at 1.6055 a gram" and told.lines[1].working == ""
    assert told.total == sum(transfer.amount for transfer in bill.transfers.all()), "what is booked is what is shown"


def test_students_of_a_day(planned, student, teacher, school):
    (line,) = student_lines(planned)
    assert (line.student, line.weight_g, line.bill) == (student, 0, None)
    bill = billed(planned, student, teacher, school)
    pay(bill, D("27.20"), by=teacher)
    (line,) = student_lines(planned)
    assert (line.bill.paid, line.bill.paid_so_far, line.bill.due) == (None, D("27.20"), D(60))
    payment = pay(bill, by=teacher)
    (line,) = student_lines(planned)
    assert (line.weight_g, line.bill.paid, line.bill.due) == (D("30.75"), payment, 0)
    assert [bill.number for bill in bills_in_order(planned)] == [1]
    header, rows = bills_table(planned)
    assert len(rows) == 7 and {len(row) for row in rows} == {len(header)} and rows[0][-1] == D("87.20")


def test_a_students_own_account_asks_as_often_for_many(
    planned, student, classmate, teacher, school, django_assert_num_queries
):
    assert own_account(student, [planned]).cast_g == {}
    billed(planned, student, teacher, school)
    with django_assert_num_queries(3):
        own = own_account(student, [planned])
    assert set(own.cast_g.values()) == {D("10.25")} and own.bills[planned.pk].total == D("87.20")
    assert own_account(classmate, [planned]).bills == {}
    pay(AccountEntry.objects.get(kind="bill"), by=teacher)
    merge(teacher, student.pk, classmate.pk)
    assert own_account(classmate, [planned]).bills[planned.pk].paid, "whoever a student became sees their bill"
