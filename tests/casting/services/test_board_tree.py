"""A tree on the board: waxes carried to its tiers, refused with the figure, and what is left when one is withdrawn."""

from decimal import Decimal

import pytest

from casting.calc.values.day_plan import Place
from casting.models import FlaskSize, Plan
from casting.models.errors import NotPlanned
from casting.presenters.standing import standing_of
from casting.selectors.board import Kept, last_step
from casting.selectors.day_file import is_outdated
from casting.services.board import take_step, undo
from casting.services.board_moves import Move
from casting.services.board_tree import goes_on_tree, hung
from casting.services.waxes import withdraw
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


@pytest.fixture
def tree(day, student, teacher):
    """Four bands on a tree, planned by the computer, with one more beside it."""
    FlaskSize.objects.exclude(key="102x102").delete()
    FlaskSize.objects.update(mount="tree", height_mm=152.4, count=1)
    for _nth in range(4):
        handed_in(day, student, wax_g=Decimal("1.20"))
    make_plan(day, teacher)
    assert len(stands(day)) == 4
    return day


def stands(day):
    (flask,) = Plan.objects.latest_of(day).file["flasks"]
    return {wax["key"]: (wax["x_mm"], wax["y_mm"], wax["turn_deg"], wax["tier"]) for wax in flask["waxes"]}


def do(day, by, **move):
    take_step(day, Move(**move), revision=Plan.objects.latest_of(day).revision, by=by)


def standing(day):
    return standing_of(day, Plan.objects.latest_of(day))


def test_a_late_wax_hangs_at_an_hour_of_a_tier_and_nobody_moves(tree, student, teacher):
    before, late = stands(tree), handed_in(tree, student, wax_g=Decimal("1.10")).tag
    do(tree, teacher, do="carry", tag=late, label="A", tier=2, hour=6)
    now = stands(tree)
    assert {tag: now[tag] for tag in before} == before
    x, y, _turn, tier = now[late]
    assert (abs(x) < 0.01, y < 0, tier) == (True, True, 2)
    assert Kept.of(last_step(tree)).spots == {late} and last_step(tree).figures["tier"] == 2
    undo(tree, revision=Plan.objects.latest_of(tree).revision, by=teacher)
    assert stands(tree) == before


def test_a_wax_goes_to_another_tier_is_turned_and_nudged_where_it_hangs(tree, teacher):
    tag = min(stands(tree))
    do(tree, teacher, do="carry", tag=tag, label="A", tier=2)
    assert stands(tree)[tag][3] == 2 and {row[3] for row in stands(tree).values()} == {1, 2}
    x, y, turn, _tier = stands(tree)[tag]
    away = 1 if y > 0 else -1
    do(tree, teacher, do="nudge", tag=tag, shift=(0, away, 0))
    assert stands(tree)[tag][:3] == (x, pytest.approx(y + away), turn)


def test_a_spot_in_the_trunk_or_on_another_wax_is_refused_with_the_figure_and_changes_nothing(tree, teacher):
    before, (tag, other) = stands(tree), sorted(stands(tree))[:2]
    for spot, words in (
        ((1, 1), "mm from the trunk; 6.mm is needed"),
        (before[other][:2], f"mm from {other}; 6.mm is"),
    ):
        with pytest.raises(NotPlanned, match=words):
            do(tree, teacher, do="spot", tag=tag, spot=Place(*spot, before[other][2]), tier=1)
    assert stands(tree) == before and Plan.objects.latest_of(tree).revision == 1


def test_no_tree_no_tier(tree):
    board, tag = standing(tree), min(stands(tree))
    assert goes_on_tree(board, Move("carry", tag=tag, label="A", tier=1))
    assert not goes_on_tree(board, Move("carry", tag=tag, label="A")) and not goes_on_tree(board, Move("out", tag=tag))
    assert hung(board, Move("carry", tag=tag, label="A", tier=2)).figures["to"] == "A"


def test_a_tree_whose_student_withdraws_a_wax_keeps_the_others_and_goes_on(tree, student, teacher):
    before, gone = stands(tree), min(stands(tree))
    do(tree, teacher, do="carry", tag=gone, label="A", tier=2)
    withdraw(tree.waxes.get(tag=gone), by=student, version=1)
    do(tree, teacher, do="out", tag=handed_in(tree, student).tag)
    # The tier that it hung in alone is gone, and the plan is checked as it stands.
    assert stands(tree) == {tag: before[tag] for tag in before.keys() - {gone}}
    # Brought back to the first board, the wax is still gone.
    undo(tree, revision=Plan.objects.latest_of(tree).revision, by=teacher)
    undo(tree, revision=Plan.objects.latest_of(tree).revision, by=teacher)
    assert stands(tree).keys() == before.keys() - {gone} and not is_outdated(Plan.objects.latest_of(tree))


def test_the_computer_lays_a_kept_tree_out_anew_once_a_wax_of_it_is_withdrawn(tree, student, teacher):
    gone = min(stands(tree))
    do(tree, teacher, do="keep", label="A")
    left = stands(tree).keys() - {gone}
    withdraw(tree.waxes.get(tag=gone), by=student, version=1)
    make_plan(tree, teacher)
    assert stands(tree).keys() == left
