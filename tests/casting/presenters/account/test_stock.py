"""The stock heap by heap, and the sums of a metal."""

from decimal import Decimal as D

from casting.presenters.account.stock import stock_of
from casting.services.account.stock import bring_own
from tests.casting.account_days import cast, invest, lot_of, metal


def test_a_metal_with_its_heaps_by_hand(planned, student, teacher, school):
    """500 and 40 bought; 119.5 out: 30.75 in castings, 1 in sprues, 87.65 of button, 0.1 lost; 20 are a student's."""
    assert stock_of(school) == []
    invest(planned, teacher)
    cast(planned, "A", lot_of(school, teacher), teacher)
    lot_of(school, teacher, grams="40")
    bring_own(student, metal(school), D(20), by=teacher)
    lot_of(school, teacher, "gold-14k", "31.1")
    gold, silver = sorted(stock_of(school), key=lambda one: one.alloy.key)
    assert [(heap.called, heap.held_g, heap.is_own) for heap in silver.heaps] == [
        ("Lot 1", D("380.5"), False), ("Lot 2", D(40), False), ("Buttons, melted once", D("87.65"), False),
        ("Sprues, melted once", D(1), False), ("A student's own metal, Sunniva Okoro", D(20), True),
    ]  # fmt: skip
    assert (silver.fresh_g, silver.reused_g, silver.school_g) == (D("420.5"), D("88.65"), D("509.15"))
    assert (silver.lost_g, gold.fresh_g) == (D("0.1"), D("31.1"))
