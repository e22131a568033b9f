"""What each flask says to a wax that is carried, in the words of the page."""

from dataclasses import replace

import pytest

from casting.calc.values.day_plan import Place
from casting.models import Plan
from casting.models.errors import NotPlanned
from casting.presenters.carry_answers import answers_for, at_spot
from casting.presenters.standing import standing_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


@pytest.fixture
def standing(day, student, teacher):
    """Two bands of sterling, which share a flask, and one of bronze."""
    bronze = next(alloy for alloy in day.alloys.all() if alloy.key == "si-bronze")
    handed_in(day, student), handed_in(day, student), handed_in(day, student, alloy=bronze)
    make_plan(day, teacher)
    return standing_of(day, Plan.objects.latest_of(day))


def by_metal(standing, metal):
    return [wax.key for wax in standing.day.day.waxes if wax.alloy == metal]


def test_its_own_flask_another_metal_s_and_empty_ones(standing, school):
    tag, bronze = by_metal(standing, "sterling")[0], by_metal(standing, "si-bronze")[0]
    lines = {line.to: line for line in answers_for(standing, tag, school).lines}
    here, other = lines[standing.home(tag)], lines[standing.home(bronze)]
    assert (here.verdict, here.short, here.takes) == ("here", "it is here", False)
    assert other.verdict == "refused" and not other.takes
    assert other.words == f"{other.label} is silicon bronze, {tag} is sterling silver."
    empty = [line for line in lines.values() if not line.label]
    assert any(line.takes and line.to.startswith("size:") and "g powder" in line.words for line in empty)
    assert all(line.name.startswith("a new flask") for line in empty)


def test_why_it_is_where_it_is_is_said_of_a_wax_in_a_flask(standing, school):
    tag, bronze = by_metal(standing, "sterling")[0], by_metal(standing, "si-bronze")[0]
    why = answers_for(standing, tag, school).why
    assert why == (
        "No other flask on the board takes it.",
        f"{standing.home(bronze)} is silicon bronze, {tag} is sterling silver.",
    )
    standing = replace(standing, flasks=standing.board.lift(tag))
    assert answers_for(standing, tag, school).why == ()


def test_held_over_a_spot_it_says_what_is_in_the_way(standing):
    one, two = by_metal(standing, "sterling")
    label = standing.home(one)
    spot = standing.flask(label).spots[one]
    assert at_spot(standing, one, label, spot) == {"takes": True, "words": ""}
    there = standing.flask(label).spots[two]
    said = at_spot(standing, one, label, Place(there.x_mm, there.y_mm, there.turn_deg))
    assert not said["takes"] and f"0.0\u202fmm from {two}; 6\u202fmm is needed." in said["words"]
    with pytest.raises(NotPlanned, match="no wax ZZ"):
        at_spot(standing, "ZZ", label, spot)
