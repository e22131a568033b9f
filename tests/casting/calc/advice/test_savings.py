"""What would save a flask: days in which one change does, known beforehand, and days in which none can."""

import json
from dataclasses import replace

import pytest

from casting.calc.advice import savings as trying
from casting.calc.advice.savings import Change, ChangeKind, CurrentPlan, changes, metal_more, try_changes
from casting.calc.grouping.bounds.proof import usable_sizes
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.plan_day import plan_day
from casting.calc.values.day_input import Previous
from casting.calc.values.day_plan import Place
from casting.calc.values.placed import PlacedFlask, PlacedWax, placed_as_planned
from casting.dayfile import read
from tests.days.day_file import a_day_file, wax_row

SMALL = {"wax_g": 0.7, "width_mm": 8.0, "depth_mm": 6.0, "height_mm": 20.0}
"""A stud: 0.7 / 0.96 x 10.36 = 7.6 g of sterling; four stand in a 64 x 64, two in a 51 x 64."""


def opened(waxes, rules=None, stock=None, **more):
    """A day of these waxes with these numbers of flasks of each size, and no other size."""
    day = a_day_file(waxes, rules, **more)
    day["flask_sizes"] = [
        size | {"count": stock[size["key"]]} for size in day["flask_sizes"] if size["key"] in (stock or {})
    ]
    return read(json.dumps(day)).day


def present(day):
    plan = plan_day(day, 50)
    return CurrentPlan(len(plan.flasks), frozenset(left.key for left in plan.left_out))


def studs(number, **more):
    return [wax_row(f"s{nth}", **(SMALL | more)) for nth in range(number)]


def saving(day):
    return [tried for tried in try_changes(day, present(day)) if tried.change]


def kinds(day):
    return {tried.change.kind: tried.change for tried in saving(day)}


def test_one_more_flask_of_the_larger_size():
    # eight studs: four and two and two; with a second 64 x 64 four and four
    day = opened(studs(8), stock={"51x64": 6, "64x64": 1})
    assert present(day).flasks == 3
    (one,) = saving(day)
    assert one.change == Change(ChangeKind.FLASK, "64x64")
    assert len(one.plan.flasks) == 2 and not one.plan.left_out


def with_a_narrow_tall_one(waxes):
    """Four flasks 64 x 64 and one as high as a 77 x 77 that takes a wax alone."""
    day = a_day_file(waxes)
    of = {size["key"]: size for size in day["flask_sizes"]}
    tall = of["51x64"] | {"key": "51x77", "height_mm": 76.2, "waxes_max": 1, "count": 1}
    day["flask_sizes"] = [of["64x64"] | {"count": 4}, tall]
    return read(json.dumps(day)).day


def test_a_shorter_sprue_lets_the_tall_one_in_with_the_others():
    # a 64 x 64 takes 63.5 - 10 - 15.875 - 3 = 34.625 mm: of 36 mm one is not enough and two are
    day = with_a_narrow_tall_one([*studs(2), wax_row("tall", **(SMALL | {"height_mm": 36.0}))])
    assert present(day).flasks == 2
    (one,) = saving(day)
    assert one.change == Change(ChangeKind.SPRUE, "tall", by=2.0)
    (flask,) = one.plan.flasks
    assert flask.size == "64x64" and len(flask.places) == 3


def test_every_change_is_gone_through_and_no_more_planned_than_allowed(monkeypatch):
    day = with_a_narrow_tall_one([*studs(2), wax_row("tall", **(SMALL | {"height_mm": 36.0}))])
    passed = list(try_changes(day, CurrentPlan(2, frozenset())))
    assert [tried.passed for tried in passed] == list(range(1, len(changes(day)) + 1))
    monkeypatch.setattr(trying, "CHANGES_OF_A_KIND", 0)
    assert {tried.planned for tried in try_changes(day, CurrentPlan(2, frozenset()))} == {0}


def test_a_larger_crucible():
    # three rings of 34.53 g: 103.6 g, button 15.54, 119.5 g; 14 ml x 0.8 x 10.36 = 116 g, 21 ml: 174 g
    rings = [wax_row(f"r{nth}") for nth in range(3)]
    day = opened(rings, {"crucible_ml": 14}, stock={"64x64": 3})
    assert present(day).flasks == 2
    found = kinds(day)
    assert found[ChangeKind.CRUCIBLE] == Change(ChangeKind.CRUCIBLE, by=21.0)
    assert ChangeKind.FLASK not in found and ChangeKind.SPRUE not in found


def test_a_torch_that_melts_no_more_gains_nothing_by_a_crucible():
    rings = [wax_row(f"r{nth}") for nth in range(3)]
    day = opened(rings, {"crucible_ml": 14, "melt_max_g": 116}, stock={"64x64": 3})
    assert present(day).flasks == 2 and ChangeKind.CRUCIBLE not in kinds(day)


def test_the_one_wax_in_another_metal():
    day = opened([*studs(2), wax_row("lone", **(SMALL | {"alloy": "si-bronze"}))], stock={"64x64": 4})
    (one,) = saving(day)
    assert one.change == Change(ChangeKind.METAL, "lone", to="sterling") and len(one.plan.flasks) == 1


@pytest.mark.parametrize("more", [{"owner": "Ines"}, {"owner": "school", "held": True}])
def test_own_metal_and_held_waxes_are_left_alone(more):
    held = {"lone": "A"} if more.pop("held", False) else {}
    day = opened([*studs(2), wax_row("lone", **(SMALL | {"alloy": "si-bronze"} | more))], stock={"64x64": 4}, held=held)
    assert "lone" not in {change.what for change in changes(day) if change.kind is ChangeKind.METAL}


def test_what_bounds_rule_out_is_not_planned(monkeypatch):
    monkeypatch.setattr(trying, "plan_day", lambda *_: pytest.fail("planned in vain"))
    day = opened(studs(4), stock={"64x64": 4})  # one flask: none can be spared
    *_, last = try_changes(day, CurrentPlan(1, frozenset()))
    assert last.passed == last.of == last.ruled_out > 0 and last.planned == 0


def test_nothing_is_said_that_the_day_allows_as_it_is():
    # a plan that is worse than need be: three flasks where two would do without any change
    day = opened(studs(8), stock={"64x64": 4})
    told = [tried.change for tried in try_changes(day, CurrentPlan(3, frozenset())) if tried.change]
    assert told == []


def test_a_flask_saved_by_leaving_a_wax_out_is_none():
    day = opened([*studs(4), wax_row("s9", **SMALL)], stock={"64x64": 2})
    assert present(day) == CurrentPlan(2, frozenset())
    assert saving(day) == []


def test_a_fixed_flask_keeps_its_waxes():
    day = opened(
        [*studs(2), wax_row("lone", **(SMALL | {"alloy": "si-bronze"}))],
        stock={"64x64": 4},
        previous={"A": {"size": "64x64", "waxes": ["lone"]}},
        fixed=["A"],
    )
    assert not {"lone"} & {change.what for change in changes(day)}
    assert usable_sizes(FlaskRules(day), ()) == {"64x64"} and saving(day) == []


def test_a_piece_in_another_metal_has_the_price_of_its_metal():
    day = opened([wax_row("s1", wax_g=4.8)], stock={"64x64": 1})
    # 4.8 / 0.96 = 5 ml: 51.8 g of sterling at 1.1, or 67 g of 14k at 62 a gram
    assert metal_more(day, "s1", "gold-14k") == pytest.approx(5 * (13.4 * 62 - 10.36 * 1.1))
    assert metal_more(day, "s1", "si-bronze") == pytest.approx(5 * (8.36 * 0.03 - 10.36 * 1.1))


def test_a_metal_without_a_price_has_no_price_of_nothing():
    day = opened([wax_row("s1")], stock={"64x64": 1})
    assert metal_more(priced(day, None), "s1", "gold-14k") is None
    # One that costs nothing, as from the scrap box, saves the price of the sterling: 3.2 g / 0.96 x 10.36 x 1.1.
    assert metal_more(priced(day, 0.0), "s1", "gold-14k") == pytest.approx(-3.2 / 0.96 * 10.36 * 1.1)


def priced(day, price):
    """The day with 14k gold at another price."""
    return replace(day, alloys=day.alloys | {"gold-14k": replace(day.alloys["gold-14k"], price_per_g=price)})


def test_flasks_made_by_hand_are_open_to_a_change():
    day = opened(studs(8), stock={"51x64": 6, "64x64": 1})
    made = replace(day, placed=placed_as_planned(plan_day(day, 50).flasks))
    assert present(made).flasks == 3
    (one,) = saving(made)
    assert one.change == Change(ChangeKind.FLASK, "64x64") and len(one.plan.flasks) == 2


def test_a_fixed_flask_made_by_hand_stays_in_every_change():
    day = opened(studs(8), stock={"51x64": 6, "64x64": 1})
    placed = placed_as_planned(plan_day(day, 50).flasks)
    before = {flask.label: Previous(flask.size, tuple(sorted(flask.keys))) for flask in placed}
    small = next(flask.label for flask in placed if flask.size == "51x64")
    made = replace(day, placed=placed, previous=before, fixed=(small,))
    # two studs stay in their 51 x 64; the other six need two flasks, whatever is added
    assert not saving(made)


def test_a_change_is_not_praised_for_what_the_program_does_without_it():
    # two studs of either metal, each in a flask of its own: together by metal they need no change for two flasks
    metals = {"s0": "sterling", "s1": "sterling", "b0": "si-bronze", "b1": "si-bronze"}
    day = opened([wax_row(key, alloy=alloy, **SMALL) for key, alloy in metals.items()], stock={"51x64": 6})
    alone = tuple(
        PlacedFlask(label, "51x64", (PlacedWax(key, Place(0.0, 0.0, 0.0)),))
        for label, key in zip("ABCD", metals, strict=True)
    )
    made = replace(day, placed=alone)
    assert present(made).flasks == 4
    assert not saving(made)  # four studs in one metal need two 51 x 64 as well
