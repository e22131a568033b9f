"""What each move does to flasks, waxes and what is kept."""

from dataclasses import replace

import pytest

from casting.calc.values.day_plan import Place
from casting.models import Plan
from casting.models.errors import NotPlanned
from casting.presenters.standing import standing_of
from casting.selectors.board import Kept
from casting.services.board_moves import KEEPS_PLAN, MOVES, BeyondReach, Move, free_label, moved
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


@pytest.fixture
def standing(day, student, teacher):
    """Six bands of sterling in two flasks or more, and one of bronze alone."""
    bronze = next(alloy for alloy in day.alloys.all() if alloy.key == "si-bronze")
    for _nth in range(6):
        handed_in(day, student)
    handed_in(day, student, alloy=bronze)
    make_plan(day, teacher)
    return standing_of(day, Plan.objects.latest_of(day))


def silver(standing):
    """The flasks of silver."""
    alloys = {wax.key: wax.alloy for wax in standing.day.day.waxes}
    return [flask for flask in standing.flasks if {alloys[key] for key in flask.keys} == {"sterling"}]


def bronze(standing):
    return next(flask for flask in standing.flasks if flask not in silver(standing))


def after(standing, flasks):
    return replace(standing, flasks=flasks)


def contents(done):
    return {flask.label: set(flask.keys) for flask in done.flasks}


def test_the_moves_that_leave_the_plan_as_it_is_are_moves():
    assert set(KEEPS_PLAN) < set(MOVES)


def test_a_wax_left_alone_goes_onto_the_axis_and_an_emptied_flask_goes(standing):
    flask = bronze(standing)
    (tag,) = flask.keys
    assert flask.label not in contents(moved(standing, Move("out", tag=tag)))
    pair = next(one for one in silver(standing) if len(one.keys) > 1)
    flasks = pair.waxes
    now = standing
    for wax in flasks[:-1]:
        now = after(now, moved(now, Move("out", tag=wax.key)).flasks)
    spot = now.flask(pair.label).spots[flasks[-1].key]
    assert (spot.x_mm, spot.y_mm) == (0, 0)


def test_swapped_waxes_stand_in_each_other_s_flask(standing):
    one, two = silver(standing)[:2]
    first, second = one.waxes[0].key, two.waxes[0].key
    done = moved(standing, Move("swap", tag=first, other=second))
    assert contents(done)[two.label] == two.keys - {second} | {first}
    assert contents(done)[one.label] == one.keys - {first} | {second}
    assert done.held == {first: two.label, second: one.label}


def test_waxes_of_two_metals_do_not_swap(standing):
    first = silver(standing)[0].waxes[0].key
    (second,) = bronze(standing).keys
    # Emptied, the bronze's flask would take it; the silver one does not take the bronze.
    with pytest.raises(NotPlanned, match=r"silicon bronze|sterling silver"):
        moved(standing, Move("swap", tag=first, other=second))


def test_a_flask_is_split_and_joined_again(standing):
    flask = max(silver(standing), key=lambda one: len(one.keys))
    tag = flask.waxes[0].key
    done = moved(standing, Move("split", label=flask.label, tags=(tag, "ZZ"), size=flask.size))
    new = done.figures["to"]
    assert contents(done)[new] == {tag} and contents(done)[flask.label] == flask.keys - {tag}
    again = moved(after(standing, done.flasks), Move("join", label=flask.label, other=new))
    assert contents(again)[flask.label] == flask.keys and new not in contents(again)


def test_flasks_of_two_metals_are_not_joined(standing):
    with pytest.raises(NotPlanned, match=r"is (silicon bronze|sterling silver)"):
        moved(standing, Move("join", label=silver(standing)[0].label, other=bronze(standing).label))


def test_in_a_wider_flask_the_waxes_stay_on_their_spots(standing):
    flask = max(silver(standing), key=lambda one: len(one.keys))
    sizes = {size.key: size for size in standing.day.day.flask_sizes}
    wider = min(
        (size for size in sizes.values() if size.diameter_mm > sizes[flask.size].diameter_mm),
        key=lambda size: size.diameter_mm,
    )
    done = moved(standing, Move("size", label=flask.label, size=wider.key))
    new = next(one for one in done.flasks if one.label == flask.label)
    assert new.size == wider.key and new.spots == flask.spots


def test_a_wax_dropped_on_another_stands_where_there_is_room_and_is_told_why(standing):
    one, two = silver(standing)[:2]
    tag, (there, *others) = one.waxes[0].key, two.waxes
    now = after(standing, moved(standing, Move("size", label=two.label, size="102x102")).flasks)
    for wax in others[1:]:
        now = after(now, moved(now, Move("out", tag=wax.key)).flasks)
    done = moved(now, Move("carry", tag=tag, label=two.label, spot=now.flask(two.label).spots[there.key]))
    assert tag in contents(done)[two.label]
    assert "mm is needed" in done.said and f"{tag} stands where there is room instead." in done.said
    assert tag not in done.kept.spots and done.held[tag] == two.label


def test_a_wax_beyond_the_reach_stands_there_for_a_reason(standing):
    flask = max(silver(standing), key=lambda one: len(one.keys))
    roomy = moved(standing, Move("size", label=flask.label, size="102x102"))
    now = after(standing, roomy.flasks)
    tag, spot = next(iter(flask.spots.items()))
    length = (spot.x_mm**2 + spot.y_mm**2) ** 0.5
    far = Place(round(spot.x_mm / length * 31, 3), round(spot.y_mm / length * 31, 3), spot.turn_deg)
    with pytest.raises(BeyondReach) as refused:
        moved(now, Move("spot", tag=tag, spot=far))
    assert "31.0\u202fmm from the axis" in refused.value.sentence and refused.value.spot == far
    done = moved(now, Move("spot", tag=tag, spot=far, reason=" bent to the cone "))
    assert done.kept.reach == {tag: "bent to the cone"} and tag in done.kept.spots


def test_a_flask_is_filled_with_what_waits_and_takes_no_more_than_it_can(standing):
    flask = max(silver(standing), key=lambda one: len(one.keys))
    now = after(standing, moved(standing, Move("out", tag=flask.waxes[0].key)).flasks)
    done = moved(now, Move("fill", label=flask.label))
    assert contents(done)[flask.label] == flask.keys
    with pytest.raises(NotPlanned, match=f"{flask.label} takes none of the waxes that wait"):
        moved(standing, Move("fill", label=flask.label))


def test_a_new_flask_has_a_letter_that_no_flask_and_no_wax_has(standing):
    taken = {flask.label for flask in standing.flasks}
    assert free_label(standing) not in taken and len(free_label(standing)) == 1


def test_the_waxes_of_a_flask_are_set_anew_as_the_computer_would(standing):
    flask = max(silver(standing), key=lambda one: len(one.keys))
    tag = flask.waxes[0].key
    turned = after(standing, moved(standing, Move("turn", tag=tag, shift=(0, 0, 3))).flasks)
    turned = replace(turned, kept=Kept(spots=frozenset({tag})))
    done = moved(turned, Move("anew", label=flask.label))
    assert contents(done) == contents(turned) and done.kept == Kept()
    with pytest.raises(NotPlanned, match="stand as the computer would set them"):
        moved(after(standing, done.flasks), Move("anew", label=flask.label))
