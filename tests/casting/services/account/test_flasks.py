"""Metal weighed out for a flask and back: to the scale's digit, and nothing from nothing."""

from decimal import Decimal as D

import pytest

from casting.models import Account, AccountEntry, Transfer
from casting.models.errors import NotPlanned
from casting.selectors.account.flasks import booked_flasks, planned_flask
from casting.services.account.book import Doubted, NotBooked
from casting.services.account.corrections import correct
from casting.services.account.flasks import Back, settle, weigh_back, weigh_out
from casting.services.account.stock import bring_own
from casting.services.flasks import fix_flask
from tests.casting.account_days import all_zero, balance, cast, invest, lot_of, metal, of_kind
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

K = Account.Kind


def refused(book, *asked, **more):
    """The sentence with which nothing is booked."""
    before = list(Transfer.objects.values_list("pk")), list(AccountEntry.objects.values_list("pk"))
    with pytest.raises(NotBooked) as refusal:
        book(*asked, **more)
    assert (list(Transfer.objects.values_list("pk")), list(AccountEntry.objects.values_list("pk"))) == before
    return refusal.value.sentence


def test_a_flask_is_weighed_out_and_back_to_the_last_digit(planned, flask, lot, teacher, school):
    """By hand: 3 x 3.20 / 0.96 x 10.36 = 103.6, button 15 % = 15.54 or 10, whichever is more: 119.14, weighed 119.5.
    Back: 3 x 33.41 = 100.23, button 15.62, sprues 2.85, sweeps 0.31 are 119.01; lost are 0.49."""
    assert flask.charge_g == D("119.5")
    weigh_out(planned, flask.label, {lot.pk: D("119.5")}, by=teacher)
    assert balance(lot) == D("380.5")
    castings = {wax.pk: D("33.41") for wax in flask.waxes}
    weigh_back(planned, flask.label, Back(castings, D("15.62"), D("2.85"), D("0.31")), by=teacher)
    assert booked_flasks(planned)[flask.label].left_g == D("0.49")
    settle(planned, flask.label, by=teacher)
    assert of_kind(school, K.FLASK) == [0] and of_kind(school, K.LOSS) == [D("0.49")]
    assert (of_kind(school, K.BUTTONS), of_kind(school, K.SPRUES)) == ([D("15.62")], [D("2.85")])
    assert of_kind(school, K.SWEEPS) == [D("0.31")] and of_kind(school, K.CASTINGS) == [D("100.23")]
    assert Account.objects.get(kind=K.BUTTONS).melts == 1
    assert all_zero(school)


def test_castings_are_weighed_as_they_are_cut(planned, flask, lot, teacher):
    weigh_out(planned, flask.label, {lot.pk: flask.charge_g}, by=teacher)
    first, second, third = flask.waxes
    weigh_back(planned, flask.label, Back({first.pk: D("33.4")}), by=teacher)
    weigh_back(planned, flask.label, Back({second.pk: D("33.3")}, button_g=D("16")), by=teacher)
    sentence = refused(weigh_back, planned, flask.label, Back({first.pk: D("33.4")}), by=teacher)
    assert sentence.startswith(f"{first.tag} is weighed already: 33.40")
    assert refused(settle, planned, flask.label, by=teacher).startswith(f"Not weighed yet: {third.tag}.")
    with pytest.raises(Doubted, match="are not weighed back of flask") as doubt:
        settle(planned, flask.label, by=teacher, not_cast=[third.tag])
    settle(planned, flask.label, by=teacher, not_cast=[third.tag], seen=doubt.value.seen)
    assert booked_flasks(planned)[flask.label].not_cast == [third.tag]


def test_more_back_than_went_in_is_refused(planned, flask, lot, teacher, school):
    weigh_out(planned, flask.label, {lot.pk: flask.charge_g}, by=teacher)
    back = Back({flask.waxes[0].pk: D("33.4")}, button_g=D("86.2"))
    said = refused(weigh_back, planned, flask.label, back, by=teacher)
    assert "119.60\u202fg would come back" in said and "only 119.50\u202fg are in it" in said
    weigh_back(planned, flask.label, Back({flask.waxes[0].pk: D("33.4")}, button_g=D("86.1")), by=teacher)
    assert of_kind(school, K.FLASK) == [0]


def test_nothing_comes_back_of_a_flask_that_nothing_went_into(planned, flask, teacher):
    said = refused(weigh_back, planned, flask.label, Back(button_g=D(3)), by=teacher)
    assert said.startswith("Nothing is weighed out for flask")
    assert "nothing to settle" in refused(settle, planned, flask.label, by=teacher)


@pytest.fixture
def buttons(day, planned, flask, lot, teacher, school):
    """Buttons and sprues of a first flask, melted once, and a second flask to be cast."""
    cast(planned, flask.label, lot, teacher, each="10.25")
    second = handed_in(day, flask.waxes[0].student)
    make_plan(day, teacher)
    label = next(one for one in invest(day, teacher) if second in planned_flask(day, one).waxes)
    return planned_flask(day, label), Account.objects.get(school=school, kind=K.BUTTONS)


def test_half_of_a_charge_is_fresh_or_somebody_is_asked(day, buttons, lot, teacher, school):
    """By hand: 3.20 / 0.96 x 10.36 = 34.53 and 10 g of button make 44.53, weighed out as 45."""
    flask, bag = buttons
    assert (flask.charge_g, bag.melts) == (D(45), 1)
    with pytest.raises(Doubted, match=r"44\.4 % of flask .* is fresh metal, and at least 50 % is usual"):
        weigh_out(day, flask.label, {lot.pk: D(20), bag.pk: D(25)}, by=teacher)
    weigh_out(day, flask.label, {lot.pk: D("22.5"), bag.pk: D("22.5")}, by=teacher)
    weigh_back(day, flask.label, Back(button_g=D(11)), by=teacher)
    again = Account.objects.get(school=school, kind=K.BUTTONS, melts=2)
    assert balance(again) == D(11), "what holds metal of one melt has seen two"


def test_metal_that_was_melted_too_often_is_kept_for_the_refiner(day, buttons, lot, teacher, school):
    flask, bag = buttons
    old = Account.objects.create(school=school, kind=K.BUTTONS, alloy=bag.alloy, melts=3)
    said = refused(weigh_out, day, flask.label, {lot.pk: D(30), old.pk: D(15)}, by=teacher)
    assert "melted 3 times: at most 2 melts are usual for" in said


def test_a_button_of_another_metal_is_refused(planned, flask, teacher, school):
    bronze = lot_of(school, teacher, "si-bronze")
    said = refused(weigh_out, planned, flask.label, {bronze.pk: D("119.5")}, by=teacher)
    assert said.startswith("Lot 1 holds silicon bronze, and flask A is cast in sterling silver.")


def test_no_more_is_taken_out_of_a_lot_than_is_in_it(planned, flask, teacher, school):
    small = lot_of(school, teacher, grams="119.4")
    said = refused(weigh_out, planned, flask.label, {small.pk: D("119.5")}, by=teacher)
    assert said.startswith("Lot 1: 0.10\u202fg less is there than this would take.")
    assert balance(small) == D("119.4")


def test_the_metal_of_another_school_is_not_there(planned, flask, teacher, other_teacher):
    from tests.casting_factories import stock

    stock(other_teacher.school)
    theirs = lot_of(other_teacher.school, other_teacher)
    assert "not in the stock of your school" in refused(
        weigh_out, planned, flask.label, {theirs.pk: D("119.5")}, by=teacher
    )


def test_a_flask_that_is_not_invested_takes_no_metal(planned, teacher, school):
    lot = lot_of(school, teacher)
    assert refused(weigh_out, planned, "A", {lot.pk: D(5)}, by=teacher).startswith("Flask A is not invested yet")
    assert refused(weigh_out, planned, "Z", {lot.pk: D(5)}, by=teacher) == "The plan has no flask Z."


def test_a_flask_with_metal_stays_invested(planned, flask, lot, teacher):
    """Else a later plan could give its letter to other waxes."""
    out = weigh_out(planned, flask.label, {lot.pk: flask.charge_g}, by=teacher)
    with pytest.raises(NotPlanned, match="Metal is weighed out for flask A"):
        fix_flask(planned, "A", "planned", by=teacher)
    correct(out, by=teacher)
    assert fix_flask(planned, "A", "planned", by=teacher).state == "planned"


def test_empty_boxes_book_nothing(planned, flask, lot, teacher):
    assert refused(weigh_out, planned, flask.label, {}, by=teacher).startswith("Nothing is weighed out")
    assert refused(weigh_back, planned, flask.label, Back({}), by=teacher).startswith("Nothing is weighed back")


def test_a_settled_flask_takes_nothing_more(planned, flask, lot, teacher):
    cast(planned, flask.label, lot, teacher)
    for book, asked in ((weigh_out, {lot.pk: D(5)}), (weigh_back, Back(button_g=D(1)))):
        assert "is settled. Take the settling back first" in refused(book, planned, flask.label, asked, by=teacher)


def test_a_wax_of_another_flask_is_not_weighed_here(planned, flask, lot, teacher, student):
    weigh_out(planned, flask.label, {lot.pk: flask.charge_g}, by=teacher)
    other = handed_in(planned, student)
    said = refused(weigh_back, planned, flask.label, Back({other.pk: D(9)}), by=teacher)
    assert "This wax is not in flask A" in said


def test_own_metal_stays_apart_to_the_last_gram(day, student, classmate, teacher, school):
    """By hand: 34.53 g and 10 of button, 45 weighed out; the student brought 50 and has 50 - 45 + 10.4 + 0.5 + 0.1."""
    handed_in(day, student, own_metal=True)
    make_plan(day, teacher)
    (label,) = invest(day, teacher)
    flask, lot = planned_flask(day, label), lot_of(school, teacher)
    bring_own(classmate, metal(school), D(60), by=teacher)
    bring_own(student, metal(school), D(50), by=teacher)
    theirs, own = Account.objects.filter(kind=K.OWN).order_by("pk")
    for wrong in (lot, theirs):
        said = refused(weigh_out, day, label, {wrong.pk: D(45)}, by=teacher)
        assert said == "Flask A is cast in the own metal of Sunniva Okoro. Take nothing else for it."
    weigh_out(day, label, {own.pk: D(45)}, by=teacher)
    weigh_back(day, label, Back({flask.waxes[0].pk: D("33.8")}, D("10.4"), D("0.5"), D("0.1")), by=teacher)
    settle(day, label, by=teacher)
    assert (balance(own), balance(theirs), balance(lot)) == (D("16.0"), D(60), D(500))
    assert not Account.objects.filter(kind__in=(K.BUTTONS, K.SPRUES, K.SWEEPS)).exists()
    assert of_kind(school, K.LOSS) == [D("0.2")] and all_zero(school)


def test_a_rehearsal_moves_no_metal(planned, flask, lot, teacher):
    planned.course.is_rehearsal = True
    planned.course.save()
    assert "A rehearsal moves no metal" in refused(weigh_out, planned, flask.label, {lot.pk: D(5)}, by=teacher)
