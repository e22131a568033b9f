"""Who has what to pay on a day, as far as it is weighed."""

from decimal import Decimal as D

from casting.calc.quantities.account.bill import Piece, Prices
from casting.selectors.account.bills import Payment, bills_of, open_bills, payments_of, prices_of
from casting.services.account.bills import make_bill, pay
from school.students import merge
from tests.casting.account_days import cast, invest, lot_of, prices


def test_a_student_of_the_day_and_what_was_cast_for_them(planned, student, classmate, teacher, school):
    (one,) = open_bills(planned)
    assert (one.student, one.pieces, len(one.not_weighed), one.bill) == (student, [], 3, None)
    invest(planned, teacher)
    cast(planned, "A", lot_of(school, teacher), teacher)
    (one,) = open_bills(planned)
    assert one.not_weighed == [] and one.withdrawn == []
    assert {(piece.alloy, piece.weight_g, piece.own) for piece in one.pieces} == {("sterling", D("10.25"), False)}
    prices(school, teacher)
    bill = make_bill(planned, student, by=teacher)
    assert open_bills(planned)[0].bill == bill and open_bills(planned)[0].payments == ()
    payment = pay(bill, by=teacher)
    # By hand: 3 x 10.25 x 1.60 = 49.20, 3 x 6, the class 20.
    assert open_bills(planned)[0].payments == [Payment(payment, D("87.20"))]
    assert payments_of(school) == {1: [Payment(payment, D("87.20"))]}
    merge(teacher, student.pk, classmate.pk)
    assert bills_of(planned) == {classmate.pk: bill} and open_bills(planned)[0].bill == bill


def test_a_price_list_is_read_as_it_was_kept(day, teacher, school):
    kept = prices(school, teacher, gram="1.605")
    assert prices_of(kept) == Prices({"sterling": D("1.605")}, D(6), D(9), D(20), D(25))
    assert Piece("A2", "sterling", D(1)).own is False
