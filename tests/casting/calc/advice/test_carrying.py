"""What a board says to a wax that is carried, beside shapely where it measures, on boards drawn anew in each run."""

import math
import random
from dataclasses import replace

import pytest
from shapely import LineString, Point, affinity, box

from casting.calc.advice.carrying import Board, Verdict, laid_out
from casting.calc.advice.on_tree import tree_of
from casting.calc.geometry.verify import faults
from casting.calc.quantities.investment import powder_for
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.enums import Section
from casting.calc.values.placed import PlacedFlask, PlacedWax, Rule
from tests.days.class_day import class_day
from tests.days.day_input import MIDDLE, SMALL, TALL, a_day, a_wax
from tests.days.hand_made import drawn_flasks

DRAWN = random.Random().randrange(2**32)
"""Another in each run; a failure names it."""
AXIS, NORTH, SOUTH = Place(0.0, 0.0, 0.0), Place(0.0, 7.0, 0.0), Place(0.0, -7.0, 0.0)


def flask(label, size="64x64", **spots):
    return PlacedFlask(label, size, tuple(PlacedWax(key, at) for key, at in sorted(spots.items())))


def board(waxes, *flasks, **more):
    return Board(a_day(waxes, **more), flasks)


def said(answers, label, size=None):
    (one,) = [one for one in answers if one.label == label and size in (None, one.size)]
    return one


def test_a_flask_with_room_takes_a_wax_where_the_others_stay():
    one = board([a_wax("w1"), a_wax("w2")], flask("A", w1=AXIS), flask("B", w2=AXIS))
    answers = one.answers("w1")
    assert [(answer.label, answer.size) for answer in answers] == [
        ("A", "64x64"), ("B", "64x64"), ("", "51x64"), ("", "64x64"), ("", "76x102"),
    ]  # fmt: skip
    assert (answers[0].verdict, answers[0].spot) == (Verdict.HERE, AXIS)
    assert answers[1].verdict is Verdict.TAKES
    shapes = [one.rules.items[key].footprint for key in ("w1", "w2")]
    assert faults(shapes, [answers[1].spot, AXIS], one.rules.bases["64x64"]) == ()
    assert answers[2].verdict is Verdict.TAKES and answers[2].spot == AXIS


@pytest.mark.parametrize(
    ("wax", "rule"),
    [
        (a_wax("w1", alloy="bronze"), Rule.METAL),
        (a_wax("w1", section=Section.VERY_THIN), Rule.SECTIONS),
        (a_wax("w1", height_mm=36), Rule.HEIGHT),
    ],
)
def test_a_flask_says_at_once_what_keeps_a_wax_out(wax, rule):
    answer = said(board([wax, a_wax("w2")], flask("B", w2=AXIS)).answers("w1"), "B")
    assert (answer.verdict, [breach.rule for breach in answer.breaches], answer.price) == (
        Verdict.REFUSED,
        [rule],
        None,
    )


def test_what_is_proved_to_have_no_room_is_told_apart_from_what_was_not_found():
    # 40 x 30 mm twice in a circle of 50.5: the discs of 18 mm about their feet need 36 mm between them, of at most 12
    wide = [a_wax(key, width_mm=40, depth_mm=30) for key in ("w1", "w2")]
    answer = said(board(wide, flask("B", w2=AXIS)).answers("w1"), "B")
    assert (answer.verdict, answer.breaches[0].rule) == (Verdict.REFUSED, Rule.NO_ROOM)
    # rows of 40 mm leave no spot while they stay, and nothing proves that they could not stand otherwise
    rows = {"w2": Place(0.0, 13.0, 0.0), "w3": Place(0.0, 0.0, 0.0), "w4": Place(0.0, -13.0, 0.0)}
    waxes = [a_wax("w1", width_mm=24), *(a_wax(key, width_mm=40) for key in rows)]
    assert said(board(waxes, flask("B", "76x102", **rows)).answers("w1"), "B").verdict is Verdict.NOT_FOUND


def test_an_invested_flask_takes_nothing_and_gives_nothing_back():
    one = board([a_wax("w1"), a_wax("w2")], flask("A", w1=AXIS), flask("B", w2=AXIS), fixed=("B",))
    assert said(one.answers("w1"), "B").breaches[0].rule is Rule.FIXED
    assert {answer.label: answer.verdict for answer in one.answers("w2") if answer.label} == {
        "A": Verdict.REFUSED,
        "B": Verdict.HERE,
    }
    assert one.breaches("w2", "A")[0].rule is Rule.FIXED


def test_a_size_that_is_used_up_is_refused_with_its_count_and_the_flask_that_empties_is_free_again():
    few = (replace(SMALL, count=1), replace(MIDDLE, count=1), TALL)
    one = board([a_wax("w1"), a_wax("w2")], flask("A", "51x64", w1=AXIS), flask("B", w2=AXIS), flask_sizes=few)
    assert said(one.answers("w1"), "", "51x64").verdict is Verdict.TAKES
    refused = said(one.answers("w1"), "", "64x64")
    assert [(breach.rule, breach.has, breach.limit) for breach in refused.breaches] == [(Rule.STOCK, 2, 1)]


def test_a_size_that_no_kiln_can_fire_is_refused():
    day = a_day([a_wax("w1")])
    low = replace(day, kilns=(replace(day.kilns[0], height_mm=120.0),))
    assert said(Board(low, ()).answers("w1"), "", "76x102").breaches[0].rule is Rule.KILN
    assert said(Board(low, ()).answers("w1"), "", "64x64").verdict is Verdict.TAKES


def test_a_move_has_its_price():
    one = board([a_wax("w1"), a_wax("w2")], flask("A", "51x64", w1=AXIS), flask("B", w2=AXIS))
    price = said(one.answers("w1"), "B").price
    # 3 g of wax make 32.375 g of sterling each, the button of a 64 mm flask is 15 g: 79.75, in steps of 0.5 g
    assert (price.with_it.charge_g, round(price.with_it.button_g, 9), price.left) == (80.0, 15.0, None)
    day = one.day
    assert price.more.powder_g == -powder_for(SMALL, day.investment)
    assert price.more.button_g == pytest.approx(-10.0)
    # its powder at 4 a kilogram, and 10 % of 10 g of button at 1 a gram
    assert price.more.cost == pytest.approx(-powder_for(SMALL, day.investment) * 0.004 - 1.0)


def test_a_wax_that_leaves_others_behind_has_the_price_of_the_flask_it_leaves():
    one = board([a_wax("w1"), a_wax("w2")], flask("A", w1=NORTH, w2=SOUTH))
    price = said(one.answers("w1"), "", "51x64").price
    assert (price.with_it.charge_g, price.left.charge_g) == (42.5, 47.5)  # 32.375 and 10 or 15 g of button
    assert price.more.powder_g == powder_for(SMALL, one.day.investment)


def test_lifting_a_wax_sets_one_that_is_left_alone_onto_the_axis_and_drops_an_empty_flask():
    one = board([a_wax("w1"), a_wax("w2"), a_wax("w3")], flask("A", w1=NORTH, w2=SOUTH), flask("B", w3=AXIS))
    assert one.lift("w1") == (flask("A", w2=AXIS), flask("B", w3=AXIS))
    assert one.lift("w3") == (flask("A", w1=NORTH, w2=SOUTH),)
    assert one.lift("w9") == one.flasks


def test_a_spot_of_a_cone_is_no_spot_on_a_tree():
    tree = replace(TALL, key="tree", mount="tree", trunk_mm=8.0, trunk_gap_mm=6.0, waxes_max=24)
    one = board([a_wax("w1"), a_wax("w2")], flask_sizes=(tree, MIDDLE))
    spots = tree_of(one.rules, frozenset({"w1", "w2"}), "tree")
    assert spots is not None and all(isinstance(at, TreePlace) for at in spots.values())
    both = Board(one.day, [laid_out(PlacedFlask("A", "tree", ()), spots)])
    assert [breach.rule for breach in both.at("w1", "A", AXIS)] == [Rule.TIER]
    assert both.at("w1", "A", spots["w1"]) == ()
    assert said(one.answers("w1"), "", "tree").verdict is Verdict.TAKES


def shapes_of(one, flask):
    found = {}
    for key, at in flask.spots.items():
        wax = one.rules.items[key].wax
        turned = affinity.rotate(
            box(-wax.width_mm / 2, -wax.depth_mm / 2, wax.width_mm / 2, wax.depth_mm / 2), at.turn_deg, origin=(0, 0)
        )
        found[key] = affinity.translate(turned, at.x_mm, at.y_mm)
    return found


def measured(one, key, flask):
    """By shapely: every rule of the layout that a wax at its spot breaks, with its figure."""
    size, rules, shapes = one.rules.sizes[flask.size], one.day.rules, shapes_of(one, flask)
    mine, at, found = shapes[key], flask.spots[key], {}

    def way(of):
        place = flask.spots[of]
        far = math.hypot(place.x_mm, place.y_mm)
        share = min(1.0, size.hub_mm / 2 / far) if far else 1.0
        return LineString([(place.x_mm, place.y_mm), (place.x_mm * share, place.y_mm * share)]), far > size.hub_mm / 2

    found[Rule.WALL, key, ""] = size.diameter_mm / 2 - max(Point(c).distance(Point(0, 0)) for c in mine.exterior.coords)
    found[Rule.REACH, key, ""] = math.hypot(at.x_mm, at.y_mm)
    for other, shape in shapes.items():
        if other != key:
            found[Rule.GAP, key, other] = mine.distance(shape)
            for whose, in_the_way in ((key, other), (other, key)):
                path, outside = way(whose)
                if outside:
                    found[Rule.PATH, whose, in_the_way] = path.distance(shapes[in_the_way])
    limits = {
        Rule.WALL: one.rules.items[key].footprint.wall_mm,
        Rule.GAP: rules.between_mm,
        Rule.PATH: rules.sprue_clear_mm,
        Rule.REACH: size.hub_mm / 2 + rules.sprue_reach_mm,
    }
    sign = {Rule.REACH: -1}
    lacks = {what: sign.get(what[0], 1) * (limits[what[0]] - has) for what, has in found.items()}
    return {what: found[what] for what, lack in lacks.items() if lack > 0}, lacks


def test_held_over_a_spot_a_wax_breaks_what_shapely_measures():
    chance, seen = random.Random(DRAWN), set()
    one = Board(*drawn_flasks(class_day(chance.randrange(10_000), 24), chance))
    keys = sorted(one.rules.items)
    for _ in range(300):
        key, into = chance.choice(keys), chance.choice(one.flasks)
        if one.breaches(key, into.label):
            continue
        spot = Place(
            round(chance.uniform(-24, 24), 3), round(chance.uniform(-24, 24), 3), round(chance.uniform(0, 360), 3)
        )
        there = laid_out(into, {**into.spots, key: spot})
        if len(there.keys) == 1:
            assert one.at(key, into.label, spot)[0].rule is Rule.ALONE
            continue
        expected, lacks = measured(one, key, there)
        sure = {what for what in expected if lacks[what] > 0.003}
        found = {told(breach, key): breach.has for breach in one.at(key, into.label, spot)}
        assert sure <= set(found) <= set(expected), (DRAWN, key, into.label, spot)
        for what, has in found.items():
            assert has == pytest.approx(expected[what], abs=1e-6), (DRAWN, what)
            seen.add(what[0])
    assert seen == {Rule.WALL, Rule.GAP, Rule.PATH, Rule.REACH}, DRAWN


def told(breach, key):
    """What a breach is about; a gap from the side of the wax that is carried."""
    both = (breach.key, breach.other)
    return breach.rule, *(both[::-1] if breach.rule is Rule.GAP and breach.other == key else both)


def test_every_spot_that_is_offered_holds_by_shapely():
    chance = random.Random(DRAWN)
    one = Board(*drawn_flasks(class_day(chance.randrange(10_000), 24), chance))
    offered = 0
    for key in sorted(one.rules.items):
        for answer in one.answers(key):
            if answer.verdict is Verdict.TAKES and answer.label:
                there = laid_out(one.named(answer.label), {**one.named(answer.label).spots, key: answer.spot})
                lacks = measured(one, key, there)[1]
                assert max(lacks.values()) <= 0.002, (DRAWN, key, answer)
                offered += 1
    assert offered, DRAWN


def test_a_board_of_no_flasks_says_what_an_empty_flask_takes():
    one = Board(a_day([a_wax("w1")]), ())
    assert {answer.size: answer.verdict for answer in one.answers("w1")} == dict.fromkeys(
        ("51x64", "64x64", "76x102"), Verdict.TAKES
    )
    assert one.flask_of("w1") is None and one.named("A") is None
