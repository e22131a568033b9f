from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from casting.calc.geometry.from_day import base_of, footprint_of, room_above_mm
from casting.calc.geometry.verify import faults
from casting.calc.grouping import group as search
from casting.calc.grouping.budget import DOWNSIZE
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.group import GroupingSearch, group
from casting.calc.grouping.labels import relabel
from casting.calc.grouping.solution import Candidate, Flask
from casting.calc.quantities.charge import button_of, charge_of, fits_crucible, metal_of_wax
from casting.calc.values.day_input import Previous
from casting.calc.values.enums import Reason, Section
from casting.calc.values.errors import Refused
from tests.days.day_input import TALL, a_day, a_wax, sizes

LAWS = settings(max_examples=25, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])


@st.composite
def any_day(draw):
    waxes = [
        a_wax(
            f"w{number}",
            alloy=draw(st.sampled_from(["sterling", "bronze"])),
            pattern=draw(st.sampled_from(["wax", "wax", "resin"])),
            wax_g=draw(st.floats(0.5, 9)),
            width_mm=draw(st.floats(8, 38)),
            depth_mm=draw(st.floats(10, 14)),
            height_mm=draw(st.floats(25, 75)),
            section=draw(st.sampled_from(list(Section))),
            piece=draw(st.integers(1, 2)),
        )
        for number in range(draw(st.integers(0, 7)))
    ]
    counts = {name: draw(st.integers(0, 2)) for name in ("small", "middle", "tall")}
    rules = {"mix_pattern_kinds": draw(st.booleans()), "sections_may_differ_by": draw(st.integers(0, 2))}
    return a_day(waxes, rules, flask_sizes=sizes(**counts))


def score(day, plan):
    firsts = sum(day.wax(left.key).piece == 1 for left in plan.left_out)
    return firsts, len(plan.left_out), len(plan.groups)


def charge_g(day, one):
    """The contract's charge, from the wax's metal and the heaviest section."""
    waxes = [day.wax(key) for key in one.places]
    metal_g = sum(metal_of_wax(wax, day) for wax in waxes)
    heaviest = max((wax.section for wax in waxes), key=lambda section: section.step)
    alloy = day.alloys[waxes[0].alloy]
    return charge_of(metal_g, button_of(metal_g, heaviest, day.size(one.size), alloy, day.rules), day.rules)


@LAWS
@given(any_day())
def test_each_wax_is_in_one_flask_or_left_out(day):
    plan = group(day, 20)
    keys = [key for one in plan.groups for key in one.places] + [left.key for left in plan.left_out]
    assert sorted(keys) == [wax.key for wax in day.waxes]


@LAWS
@given(any_day())
def test_whatever_shares_a_flask_may(day):
    plan = group(day, 20)
    for one in plan.groups:
        waxes, size = [day.wax(key) for key in one.places], day.size(one.size)
        steps = [wax.section.step for wax in waxes]
        assert len({(wax.alloy, wax.owner) for wax in waxes}) == 1
        assert day.rules.mix_pattern_kinds or len({wax.pattern for wax in waxes}) == 1
        assert max(steps) - min(steps) <= day.rules.sections_may_differ_by
        assert len(waxes) <= size.waxes_max
        assert all(wax.height_mm <= room_above_mm(size) + 0.001 for wax in waxes)
        assert fits_crucible(charge_g(day, one), day.alloys[waxes[0].alloy], day.rules)
        footprints = [footprint_of(wax, day) for wax in waxes]
        assert faults(footprints, list(one.places.values()), base_of(size, day.rules)) == ()
    used = Counter(one.size for one in plan.groups)
    assert all(used[size.key] <= size.count for size in day.flask_sizes)
    assert set(plan.kiln_places) == {one.label for one in plan.groups}


@LAWS
@given(any_day())
def test_the_order_of_hand_in_does_not_matter(day):
    assert group(replace(day, waxes=day.waxes[::-1]), 20) == group(day, 20)


@LAWS
@given(any_day())
def test_more_effort_is_never_worse(day):
    assert score(day, group(day, 60)) <= score(day, group(day, 1))


def smaller_flasks(day, plan):
    """Flasks of a plan without fixed ones that rules, a layout, stock and kilns allow in a cheaper size."""
    evaluator, found = FlaskEvaluator(day), []
    flasks = [Flask(one.size, frozenset(one.places)) for one in plan.groups]
    spare = evaluator.spare(flasks)
    for flask in flasks:
        now = evaluator.rules.cost(flask.keys, flask.size)
        for size in (size for size in evaluator.rules.sizes if spare[size]):
            others = [one for one in flasks if one is not flask]
            if (
                evaluator.rules.allows(flask.keys, size)
                and evaluator.rules.cost(flask.keys, size) < now - 1e-6
                and evaluator.occupancy(flask.keys, size) <= DOWNSIZE.full
                and evaluator.layout(flask.keys, size, DOWNSIZE.work)
                and evaluator.kiln_takes([*others, Flask(size, flask.keys)])
            ):
                found.append((flask, size))
    return found


@pytest.mark.parametrize("effort", [5, 20])
@LAWS
@given(day=any_day())
def test_no_flask_could_simply_be_a_size_smaller(day, effort):
    assert smaller_flasks(day, group(day, effort)) == []


def test_a_flask_that_the_search_left_too_large_is_written_a_size_smaller(monkeypatch):
    # The first plan is made to stand in the tallest size; the middle one, in stock, is smaller and takes both waxes.
    day = a_day([a_wax("w1"), a_wax("w2")], flask_sizes=sizes(small=0, middle=2, tall=2))
    too_large = Candidate((Flask(TALL.key, frozenset(["w1", "w2"])),), frozenset())
    monkeypatch.setattr(search, "construct", lambda *_: too_large)
    plan = group(day, 5)
    assert [one.size for one in plan.groups] == ["64x64"]
    assert smaller_flasks(day, plan) == []


def test_a_flask_made_smaller_makes_room_for_a_wax_left_out(monkeypatch):
    # Two rings stand in the only tall flask, and a tall wax that no other size takes is left out.
    day = a_day([a_wax("w1"), a_wax("w2"), a_wax("w3", height_mm=60)], flask_sizes=sizes(small=0, middle=1, tall=1))
    stuck = Candidate((Flask(TALL.key, frozenset(["w1", "w2"])),), frozenset(["w3"]))
    monkeypatch.setattr(search, "construct", lambda *_: stuck)
    plan = group(day, 5)
    assert {one.size: set(one.places) for one in plan.groups} == {"64x64": {"w1", "w2"}, TALL.key: {"w3"}}
    assert plan.left_out == ()


@LAWS
@given(any_day())
def test_a_search_that_goes_on_ends_where_a_fresh_one_does(day):
    ladder = GroupingSearch(day)
    assert [ladder.run(effort) for effort in (5, 100)] == [group(day, 5), group(day, 100)]


def test_a_search_that_is_proved_is_finished_and_solves_nothing_more(monkeypatch):
    ladder = GroupingSearch(a_day([a_wax("w1"), a_wax("w2")]))
    assert not ladder.is_finished
    best = ladder.run(100)
    assert best.proof.proved and ladder.is_finished
    monkeypatch.setattr(search, "solve", None)
    assert ladder.run(400) == best


@LAWS
@given(any_day())
def test_no_wax_waits_beside_an_unused_flask_that_takes_it(day):
    plan = group(day, 20)
    used = Counter(one.size for one in plan.groups)
    for left in plan.left_out:
        if left.reason is Reason.NO_FLASK_LEFT:
            wax = day.wax(left.key)
            unused = [size for size in day.flask_sizes if used[size.key] < size.count]
            assert not group(replace(day, waxes=(wax,), flask_sizes=tuple(unused)), 1).groups


@LAWS
@given(any_day())
def test_bounds_never_pass_the_plan(day):
    plan = group(day, 20)
    firsts, left, flasks = score(day, plan)
    assert plan.proof.first_left_out_at_least <= firsts
    assert plan.proof.left_out_at_least <= left
    assert plan.proof.flasks_at_least <= flasks


def test_no_waxes_give_no_flask():
    plan = group(a_day([]), 1)
    assert (plan.groups, plan.left_out, plan.proof.proved) == ((), (), True)


def test_two_waxes_go_into_the_smallest_flask_that_takes_both():
    plan = group(a_day([a_wax("w1"), a_wax("w2")]), 20)
    assert [(one.label, one.size, set(one.places)) for one in plan.groups] == [("A", "51x64", {"w1", "w2"})]
    assert plan.proof.flasks_proved


def test_first_pieces_go_before_others():
    # one small flask of two places, so one of three waxes stays out: not a first piece
    waxes = [a_wax("w1", piece=2), a_wax("w2"), a_wax("w3")]
    plan = group(a_day(waxes, flask_sizes=sizes(small=1, middle=0, tall=0)), 20)
    assert [left.key for left in plan.left_out] == ["w1"]
    assert plan.left_out[0].reason is Reason.NO_FLASK_LEFT


def test_sizes_set_aside_count_as_not_on_the_shelf():
    plan = group(a_day([a_wax("w1", height_mm=60)]), 20, without=frozenset({TALL.key}))
    assert plan.left_out[0].reason is Reason.NO_FLASK_LEFT


@pytest.mark.parametrize(
    ("held", "place"),
    [({"w9": "A"}, "held.w9"), ({"w3": "A"}, "held.w3"), ({"w1": "A", "w2": "A"}, "held.w1")],
)
def test_held_waxes_that_cannot_be_are_refused(held, place):
    waxes = [a_wax("w1"), a_wax("w2", alloy="bronze"), a_wax("w3", height_mm=90)]
    with pytest.raises(Refused) as refused:
        group(a_day(waxes, held=held), 20)
    assert refused.value.place == place


def test_held_waxes_share_the_flask_they_are_held_for():
    plan = group(a_day([a_wax(f"w{i}") for i in range(4)], held={"w0": "Q7", "w3": "Q7"}), 20)
    flask = next(one for one in plan.groups if one.label == "Q7")
    assert {"w0", "w3"} <= set(flask.places)


def test_a_held_wax_is_never_left_out():
    waxes = [a_wax("w1", piece=3), a_wax("w2", alloy="bronze")]
    plan = group(a_day(waxes, flask_sizes=sizes(small=1, middle=0, tall=0), held={"w1": "A"}), 20)
    assert [left.key for left in plan.left_out] == ["w2"]


def test_a_fixed_flask_is_kept_as_it_was_and_nobody_joins():
    previous = {"C": Previous("76x102", ("w1",))}
    plan = group(a_day([a_wax("w1"), a_wax("w2")], previous=previous, fixed=("C",)), 20)
    kept = next(one for one in plan.groups if one.label == "C")
    assert (kept.size, set(kept.places)) == ("76x102", {"w1"})
    assert len(plan.groups) == 2


@pytest.mark.parametrize(
    ("previous", "held"),
    [({}, {}), ({"C": Previous("64x64", ("w9",))}, {}), ({"C": Previous("64x64", ("w1",))}, {"w1": "A"})],
)
def test_a_fixed_flask_that_cannot_be_is_refused(previous, held):
    with pytest.raises(Refused) as refused:
        group(a_day([a_wax("w1")], previous=previous, fixed=("C",), held=held), 20)
    assert refused.value.place == "fixed[0]"


def test_the_plan_before_keeps_its_labels_and_only_the_wax_between_moves():
    # two alloys, so two flasks; w3 stood wrongly in C and must move
    waxes = [a_wax("w1"), a_wax("w2"), a_wax("w3", alloy="bronze"), a_wax("w4", alloy="bronze")]
    previous = {"C": Previous("64x64", ("w1", "w2", "w3")), "D": Previous("64x64", ("w4",))}
    plan = group(a_day(waxes, previous=previous), 20)
    assert {one.label: set(one.places) for one in plan.groups} == {"C": {"w1", "w2"}, "D": {"w3", "w4"}}
    assert plan.moved == ("w3",)


def test_free_labels_follow_the_order_of_pour():
    waxes = [a_wax("w1"), a_wax("w2", alloy="bronze"), a_wax("w3", owner="S1")]
    day = a_day(waxes, held={"w2": "B"})
    plan = group(day, 20)
    by_wax = {key: one.label for one in plan.groups for key in one.places}
    final = relabel(plan, day, [by_wax["w3"], by_wax["w2"], by_wax["w1"]])
    assert {key: one.label for one in final.groups for key in one.places} == {"w3": "A", "w2": "B", "w1": "C"}
    assert set(final.kiln_places) == {"A", "B", "C"}
