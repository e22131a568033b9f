"""The board as its rows tell it: what is kept, which step an undo brings back, what a search must leave alone."""

import pytest

from casting.models import BoardStep, Plan
from casting.selectors.board import Kept, kept_now, last_step, redo_to, rows_kept, rows_placed, shown_by, undo_to
from tests.casting_factories import DayFactory

FILE = {
    "flasks": [
        {
            "label": "A",
            "size": "51x64",
            "by_hand": True,
            "waxes": [
                {"key": "C3", "x_mm": 1.0, "y_mm": 2.0, "turn_deg": 3.0, "metal_g": 9.1},
                {"key": "E4", "x_mm": -8.0, "y_mm": 0.0, "turn_deg": 90.0, "metal_g": 9.1},
            ],
        },
        {
            "label": "B",
            "size": "102x152",
            "waxes": [
                {"key": "F5", "x_mm": 9.0, "y_mm": 0.0, "turn_deg": 0.0, "z_mm": 16.0, "tier": 1, "metal_g": 2.0}
            ],
        },
    ]
}
C3 = {"key": "C3", "x_mm": 1.0, "y_mm": 2.0, "turn_deg": 3.0}
E4 = {"key": "E4", "x_mm": -8.0, "y_mm": 0.0, "turn_deg": 90.0}
F5 = {"key": "F5", "x_mm": 9.0, "y_mm": 0.0, "turn_deg": 0.0, "z_mm": 16.0, "tier": 1}
A = {"label": "A", "size": "51x64", "whole": True, "waxes": [C3, E4]}
B = {"label": "B", "size": "102x152", "whole": True, "waxes": [F5]}


def test_a_plan_s_flasks_are_placed_as_they_are_without_waxes_that_are_gone():
    assert rows_placed(FILE, {"C3", "E4", "F5"}) == [A, B]
    assert rows_placed(FILE, {"C3", "E4"}) == [A]


def test_a_wax_whose_neighbours_are_gone_stands_on_the_axis():
    assert rows_placed(FILE, {"E4"}) == [A | {"waxes": [E4 | {"x_mm": 0.0, "y_mm": 0.0}]}]
    # A kept flask is placed so too, or no plan could be made of it.
    kept = Kept(flasks=frozenset("A"))
    assert rows_kept(FILE, kept, {"E4"}, ()) == rows_placed(FILE, {"E4"})


@pytest.mark.parametrize(
    ("kept", "fixed", "rows"),
    [
        (Kept(), (), []),
        (Kept(flasks=frozenset("A")), (), [A]),
        (Kept(spots=frozenset({"C3"})), (), [A | {"whole": False, "waxes": [C3, {"key": "E4"}]}]),
        (Kept(spots=frozenset({"C3", "E4"})), (), [A | {"whole": False}]),
        # A tree stands as a whole or not at all.
        (Kept(spots=frozenset({"F5"})), (), []),
        (Kept(flasks=frozenset("B")), (), [B]),
        # On the bench: placed by hand it keeps its spots, whatever is kept; else it is laid out as ever.
        (Kept(), ("A", "B"), [A]),
    ],
)
def test_a_search_leaves_alone_what_is_kept(kept, fixed, rows):
    assert rows_kept(FILE, kept, {"C3", "E4", "F5"}, fixed) == rows


def test_what_is_kept_comes_back_from_its_row():
    kept = Kept(frozenset("A"), frozenset({"C3"}), frozenset({"F5"}), {"C3": "bent to the cone"})
    assert Kept.of(BoardStep(kept=kept.as_json())) == kept
    assert Kept.of(None) == Kept() and "reach" not in Kept().as_json()


def test_what_is_kept_now_is_what_the_last_step_kept(day, other_teacher):
    elsewhere = DayFactory(course__school=other_teacher.school)
    assert kept_now(day) == Kept()
    for nth, (where, tag) in enumerate([(day, "C3"), (day, "E4"), (elsewhere, "F5")], start=1):
        plan = Plan.objects.create(day=where, revision=nth, day_file="{}", plan_file="{}")
        BoardStep.objects.create(day=where, plan=plan, did="out", kept=Kept(out=frozenset({tag})).as_json())
    assert kept_now(day) == Kept.of(last_step(day)) == Kept(out=frozenset({"E4"}))


def test_undo_and_redo_walk_along_the_steps(day):
    def step(did, before=None, shows=None):
        plan = Plan.objects.create(day=day, revision=day.plans.count() + 1, day_file="{}", plan_file="{}")
        return BoardStep.objects.create(day=day, plan=plan, did=did, before=before, shows=shows)

    assert last_step(day) is None and undo_to(None) is None and redo_to(None) is None
    first = step("planned")
    assert undo_to(last_step(day)) is None
    second = step("carry", before=first)
    third = step("turn", before=second)
    assert undo_to(last_step(day)) == second and redo_to(last_step(day)) is None
    step("undo", shows=second)
    assert shown_by(last_step(day)) == second
    assert undo_to(last_step(day)) == first and redo_to(last_step(day)) == third
    step("undo", shows=first)
    assert undo_to(last_step(day)) is None and redo_to(last_step(day)) == second
    step("redo", shows=second)
    assert redo_to(last_step(day)) == third
    # Whatever else is done ends what was undone.
    other = step("out", before=second)
    assert redo_to(last_step(day)) is None and undo_to(last_step(day)) == second
    step("undo", shows=second)
    assert redo_to(last_step(day)) == other
