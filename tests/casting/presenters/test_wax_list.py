"""The teacher's list of waxes: sums by metal, one metal alone, orders."""

from decimal import Decimal

import pytest

from casting.models import Alloy
from casting.presenters.wax_list import ORDERS, listed, sums_of
from casting.presenters.wax_preview import answers_for
from tests.casting_factories import handed_in
from tests.factories import StudentFactory


@pytest.fixture
def waxes(day):
    def metal(key):
        return Alloy.objects.get(school=day.course.school, key=key)

    def student(called):
        return StudentFactory(course=day.course, called=called)

    handed_in(day, student("Wren"), wax_g=Decimal("1.5"), alloy=metal("sterling"))
    handed_in(day, student("abel"), wax_g=Decimal("2.25"), alloy=metal("gold-14k"))
    handed_in(day, student("Maelis"), wax_g=Decimal("0.95"), alloy=metal("sterling"))
    return list(day.waxes.standing())


def test_the_sums_of_a_metal_add_up(day, waxes):
    answers = answers_for(day, waxes)
    gold, silver = sums_of(waxes, answers)
    assert (gold.alloy.key, gold.count, gold.wax_g) == ("gold-14k", 1, Decimal("2.25"))
    assert (silver.alloy.key, silver.count, silver.wax_g) == ("sterling", 2, Decimal("2.45"))
    # 2.45 g of carving wax (0.96) in sterling (10.36): 2.45 / 0.96 * 10.36 = 26.4396
    assert silver.metal_g == pytest.approx(26.4396, abs=1e-4)


def test_a_metal_that_cannot_be_worked_out_has_no_sum(day, waxes):
    answers = dict(answers_for(day, waxes))
    del answers[waxes[0].tag]
    assert [each.metal_g is None for each in sums_of(waxes, answers)] == [False, True]


@pytest.mark.parametrize(
    ("order", "called"),
    [
        ("tag", ["Wren", "abel", "Maelis"]),
        ("student", ["abel", "Maelis", "Wren"]),
        ("metal", ["abel", "Wren", "Maelis"]),
        ("weight", ["abel", "Wren", "Maelis"]),
        ("colour", ["Wren", "abel", "Maelis"]),
    ],
)
def test_the_list_is_ordered_as_asked(waxes, order, called):
    assert [wax.student.called for wax in listed(reversed(waxes), "", order)] == called
    assert order in ORDERS or order == "colour"


def test_one_metal_alone_and_all_if_nobody_has_it(waxes):
    assert [wax.student.called for wax in listed(waxes, "sterling", "student")] == ["Maelis", "Wren"]
    assert len(listed(waxes, "copper", "tag")) == 3
