"""Where metal lies and what an entry moved, in words."""

from decimal import Decimal as D

from casting.models import Account, AccountEntry
from casting.presenters.account.words import entry_lines, melted, where_of
from casting.services.account.corrections import correct
from tests.casting.account_days import cast, invest, lot_of


def test_where_metal_lies(planned, student, teacher, school):
    invest(planned, teacher)
    cast(planned, "A", lot_of(school, teacher), teacher)
    told = {where_of(one) for one in Account.objects.all()}
    assert told == {
        "Outside the school", "Lot 1", "Flask A", "Castings of a student, Sunniva Okoro", "Buttons, melted once",
        "Sprues, melted once", "Loss",
    }  # fmt: skip
    assert melted(2) == "melted 2 times"


def test_an_entry_says_what_it_moved_and_what_became_of_it(planned, student, teacher, school):
    invest(planned, teacher)
    cast(planned, "A", lot_of(school, teacher, price=D("340.5")), teacher)
    settled = AccountEntry.objects.get(kind="settled")
    back = correct(settled, by=teacher)
    lines = {one.entry.kind: one for one in entry_lines(AccountEntry.objects.order_by("pk"), school)}
    assert lines["lot"].moved.startswith("sterling silver 500.00\u202fg, 340.50")
    assert (lines["settled"].moved, lines["settled"].back, lines["settled"].who) == (
        "loss 0.10\u202fg",
        back,
        "Imre Valdane",
    )
    assert [lines[kind].may_go_back for kind in ("lot", "settled", "correction")] == [True, False, False]
    first = planned.waxes.order_by("pk").first()
    assert f"{first.tag} 10.25\u202fg" in lines["weigh_back"].moved
