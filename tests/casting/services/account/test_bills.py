"""Bills from what the castings weigh: a version of prices on each, paid or not, and none that cannot be."""

import uuid
from decimal import Decimal as D

import pytest

from casting.models import AccountEntry, Transfer
from casting.services.account.bills import keep_prices, make_bill, make_bills, pay
from casting.services.account.book import NotBooked
from casting.services.account.corrections import correct
from casting.services.account.flasks import Back, settle, weigh_back, weigh_out
from casting.services.account.stock import bring_own
from casting.services.waxes import withdraw
from school.students import merge
from tests.casting.account_days import all_zero, cast, invest, lot_of, metal, of_kind, prices
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.factories import StudentFactory


@pytest.fixture
def lot(planned, teacher, school):
    invest(planned, teacher)
    return lot_of(school, teacher)


@pytest.fixture
def settled(planned, lot, teacher):
    cast(planned, "A", lot, teacher)
    return planned


def total(bill):
    return sum(bill.transfers.values_list("amount", flat=True))


def test_a_bill_by_hand(settled, student, teacher, school):
    """3 x 10.25 x 1.60 = 49.20, three pieces of 6 are 18, the class 20: 87.20. Each wax has its own lines."""
    prices(school, teacher)
    bill = make_bill(settled, student, by=teacher)
    assert total(bill) == D("87.20") and (bill.details["number"], bill.prices.version) == (1, 1)
    lines = [(one["part"], one["amount"], one.get("weight_g")) for one in bill.details["lines"]]
    assert lines == [("metal", "16.40", "10.25"), ("piece", "6.00", None)] * 3 + [("class_fee", "20.00", None)]
    assert of_kind(school, "owes") == [D("87.20")]
    assert sorted(of_kind(school, "sales")) == [D("-49.20"), D(-20), D(-18)] and all_zero(school)


def test_a_changed_price_changes_no_old_bill(settled, student, teacher, school):
    prices(school, teacher)
    bill = make_bill(settled, student, by=teacher)
    before = AccountEntry.objects.filter(pk=bill.pk).values().get(), list(bill.transfers.values())
    prices(school, teacher, version=1, gram="9.99")
    assert (AccountEntry.objects.filter(pk=bill.pk).values().get(), list(bill.transfers.values())) == before
    correct(bill, by=teacher)
    again = make_bill(settled, student, by=teacher)
    # 10.25 x 9.99 = 102.3975, so 102.40 a piece
    assert total(again) == 3 * D("102.40") + 38 and (again.details["number"], again.prices.version) == (2, 2)


def test_prices_are_kept_only_if_they_change_and_nobody_was_sooner(day, teacher, school):
    first = prices(school, teacher)
    assert prices(school, teacher, version=1) == first and school.price_lists.count() == 1
    with pytest.raises(NotBooked, match="Somebody else has kept other prices"):
        prices(school, teacher, version=0, gram="2")
    assert school.price_lists.count() == 1


def test_a_paid_bill(settled, student, teacher, school):
    prices(school, teacher)
    bill = make_bill(settled, student, by=teacher)
    payment = pay(bill, by=teacher)
    assert (of_kind(school, "owes"), of_kind(school, "till")) == ([0], [D("87.20")])
    for again, sentence in ((pay, "Bill 1 is paid already"), (correct, "Bill 1 is paid. Take the payment back first")):
        with pytest.raises(NotBooked, match=sentence):
            again(bill, by=teacher)
    correct(payment, by=teacher)
    # In parts: 40.00, then what is left of 87.20.
    key = uuid.uuid4()
    parts = [pay(bill, D(40), by=teacher, key=key) for _twice in range(2)]
    assert parts[0] == parts[1] and (of_kind(school, "owes"), of_kind(school, "till")) == ([D("47.20")], [D(40)])
    for amount in ("-5", "0", "47.21"):
        with pytest.raises(NotBooked, match="of bill 1 is still due"):
            pay(bill, D(amount), by=teacher)
    with pytest.raises(NotBooked, match="Take the payment back first"):
        correct(bill, by=teacher)
    rest = pay(bill, by=teacher)
    assert rest.transfers.get().amount == D("47.20") and of_kind(school, "owes") == [0] and all_zero(school)
    for part in (rest, parts[0]):
        correct(part, by=teacher)
    correct(bill, by=teacher)
    with pytest.raises(NotBooked, match="Bill 1 is taken back"):
        pay(bill, by=teacher)
    assert of_kind(school, "owes") == [0] and all_zero(school)


def refused(day, student, teacher):
    before = list(Transfer.objects.values())
    with pytest.raises(NotBooked) as refusal:
        make_bill(day, student, by=teacher)
    assert list(Transfer.objects.values()) == before
    return refusal.value.sentence


def test_no_bill_without_prices(settled, student, teacher):
    assert refused(settled, student, teacher).startswith("No prices are kept yet.")


def test_a_metal_without_a_price_is_not_free(settled, student, teacher, school):
    from casting.calc.quantities.account.bill import Prices

    keep_prices(school, Prices({"gold-14k": D(60)}, class_fee=D(20)), by=teacher, version=0)
    assert refused(settled, student, teacher).startswith("A gram of sterling silver has no price.")


def test_no_bill_before_the_flask_is_settled(planned, lot, student, teacher, school):
    prices(school, teacher)
    weigh_out(planned, "A", {lot.pk: D("119.5")}, by=teacher)
    weigh_back(planned, "A", Back({planned.waxes.first().pk: D(30)}), by=teacher)
    assert refused(planned, student, teacher).startswith("Not settled yet for Sunniva Okoro: ")


def test_a_withdrawn_wax_is_on_no_bill(settled, student, teacher, school):
    prices(school, teacher)
    gone = settled.waxes.first()
    type(gone).objects.filter(pk=gone.pk).update(withdrawn_at="2026-11-01T10:00Z")
    said = refused(settled, student, teacher)
    assert said.startswith(f"{gone.tag} of Sunniva Okoro is withdrawn: nobody is charged for it.")


def test_a_bill_is_made_once(settled, student, teacher, school):
    prices(school, teacher)
    make_bill(settled, student, by=teacher)
    assert refused(settled, student, teacher).startswith("Sunniva Okoro has bill 1 for this day.")


def test_who_had_nothing_cast_pays_nothing(planned, lot, student, classmate, teacher, school):
    prices(school, teacher)
    assert refused(planned, classmate, teacher).startswith("Nothing was cast for Tobiah Renn on this day")
    flask = [wax.tag for wax in planned.waxes.all()]
    weigh_out(planned, "A", {lot.pk: D("119.5")}, by=teacher)
    weigh_back(planned, "A", Back(button_g=D("119.3")), by=teacher)
    settle(planned, "A", by=teacher, not_cast=flask)
    assert refused(planned, student, teacher).startswith("Nothing came out for Sunniva Okoro on this day")


def test_own_metal_pays_for_the_piece_alone(day, student, teacher, school):
    """9 for the piece and 20 for the class are 29, above the least of 25."""
    handed_in(day, student, own_metal=True)
    make_plan(day, teacher)
    invest(day, teacher)
    prices(school, teacher)
    own = bring_own(student, metal(school), D(50), by=teacher).transfers.get().to_account
    cast(day, "A", own, teacher)
    bill = make_bill(day, student, by=teacher)
    assert [(one["part"], one["amount"]) for one in bill.details["lines"]] == [
        ("own_piece", "9.00"),
        ("class_fee", "20.00"),
    ]


def test_all_bills_at_once_and_why_there_is_none_of_others(settled, student, classmate, teacher, school):
    handed_in(settled, classmate)
    make_plan(settled, teacher)
    without = make_bills(settled, by=teacher)
    assert (without.waiting, list(without.refused)) == (["Tobiah Renn"], ["Sunniva Okoro"])
    prices(school, teacher)
    made = make_bills(settled, by=teacher)
    assert [one.student for one in made.bills] == [student]
    assert (made.waiting, made.refused) == (["Tobiah Renn"], {})
    assert make_bills(settled, by=teacher).bills == []


def test_whoever_a_student_became_pays(settled, student, classmate, teacher, school):
    prices(school, teacher)
    bill = make_bill(settled, student, by=teacher)
    merge(teacher, student.pk, classmate.pk)
    pay(bill, by=teacher)
    assert of_kind(school, "owes") == [0, 0]


def test_a_bill_that_whoever_a_student_became_paid_stays(settled, student, classmate, teacher, school):
    """Merged twice: the bill is of the first, and the last of them pays."""
    last = StudentFactory(course=student.course)
    prices(school, teacher)
    bill = make_bill(settled, student, by=teacher)
    merge(teacher, student.pk, classmate.pk)
    merge(teacher, classmate.pk, last.pk)
    assert refused(settled, last, teacher).startswith(f"{last.called} has bill 1 for this day.")
    assert pay(bill, by=teacher).student == last
    with pytest.raises(NotBooked, match=r"Bill 1 is paid\. Take the payment back first"):
        correct(bill, by=teacher)


def test_a_withdrawal_on_the_bench_is_refused_anyway(settled, student):
    wax = settled.waxes.first()
    with pytest.raises(Exception, match="is invested"):
        withdraw(wax, by=student, version=wax.version)
