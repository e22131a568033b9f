"""What a day file says, and what the shelf fills in."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from casting.calc.values.enums import Section
from casting.calc.values.errors import Refused
from casting.dayfile import day_of, day_of_kept, read, read_kept
from tests.days.example_file import GONE, WAX, bare, changed, example, put


def test_the_example_gives_its_own_values() -> None:
    day = read(changed()).day
    assert day.alloys["sterling"].flask_c[Section.HEAVY] == (399, 482)
    assert day.size("64x64").cover_mm == 15.875
    assert day.wax("w1").wax_g == 3.2
    assert (day.held, day.fixed, day.elevation_m) == ({"w1": "A"}, (), 1609)
    assert day.previous["A"].waxes == ("w1",)
    assert day.missing_prices == ()


def test_a_day_that_is_kept_is_the_same_for_the_same_text_alone() -> None:
    there = read_kept(changed())
    assert there == read(changed()) and read_kept(changed()) is there
    assert read_kept(changed(("waxes[0].wax_g", 1.5))) != there


def test_values_are_read_like_their_text() -> None:
    assert day_of(example()) == read(json.dumps(example()))


def test_values_are_refused_at_the_place_in_a_file() -> None:
    values = example()
    put(values, "kilns[0].width_mm", 0)
    with pytest.raises(Refused, match=r"^kilns\[0\]\.width_mm: 0 stands here"):
        day_of(values)


def test_the_values_given_stay_as_they_are() -> None:
    values = example()
    day_of(values)
    assert values == example()


def test_a_kept_day_with_other_waxes_is_the_same_as_one_read_anew() -> None:
    before = example()
    day_of_kept(before)
    late = before["waxes"][0] | {"key": "late", "wax_g": 2.5}
    other = before | {"waxes": [late, *before["waxes"]]}
    assert day_of_kept(other) == day_of(other)
    dearer = changed(("alloys[0].price_per_g", 99.5))
    assert day_of_kept(json.loads(dearer)).day.alloys["sterling"].price_per_g == 99.5, "what is kept is that very shelf"
    with pytest.raises(Refused, match=r"^waxes\[0\]\.wax_g: -1 stands here"):
        day_of_kept(put(other, "waxes[0].wax_g", -1))


def test_an_absent_list_is_the_shelf_s() -> None:
    day = read(bare()).day
    assert {"sterling", "fine-silver", "si-bronze", "gold-14k"} <= set(day.alloys)
    assert {"carving-wax", "injection-wax", "print-resin"} <= set(day.patterns)
    assert day.size("64x64").diameter_mm == 63.5
    assert (day.investment.water_per_100, len(day.kilns), len(day.firings)) == (40, 2, 3)
    assert (day.held, day.previous, day.fixed, day.hours, day.elevation_m) == ({}, {}, (), (), 0)


def test_a_list_that_is_given_replaces_the_shelf_s_whole() -> None:
    alloys = example()["alloys"]
    assert set(read(bare(alloys=alloys)).day.alloys) == {"sterling"}
    assert read(bare(kilns=[])).day.kilns == ()


def test_a_price_that_nobody_knows_is_0_and_named() -> None:
    changes = [("alloys[0].key", "bell-metal"), ("alloys[0].price_per_g", GONE), ("waxes[0].alloy", "bell-metal")]
    day = read(changed(*changes)).day
    assert day.alloys["bell-metal"].price_per_g == 0
    assert day.missing_prices == ("Sterling silver",)


@pytest.mark.parametrize(
    ("place", "value"),
    [
        ("waxes[0].wax_g", 5.85),  # 22 x 8 x 33 mm x 0.96 x 1.05 = 5.854 g
        ("waxes[0].sprue_g", 3.2),
        ("waxes[0].wax_g", 1e-3),
        ("alloys[0].pour_c", 893.1),
        ("alloys[0].solidus_c", 893),
        ("alloys[0].composition_pct.Pb", 0),
        ("patterns[0].specific_gravity", 2),
        ("investment.water_per_100", 30),
        ("investment.water_per_100", 50),
        ("flask_sizes[0].count", 0),
        ("flask_sizes[0].count", 6.0),
        ("firings[0].segments[2].to_c", 750),
        ("firings[0].segments[1].hold_min", 0),
        ("firings[0].segments[1].to_c", 149),
        ("previous.A.waxes", ["w1", "withdrawn"]),
        ("waxes", []),
    ],
)
def test_what_lies_on_a_limit_is_read(place: str, value: object) -> None:
    day = example() if place != "waxes" else {**example(), "held": {}}
    assert read(json.dumps(put(day, place, value))).day


def test_waxes_are_sorted_by_key_in_any_order_of_hand_in() -> None:
    waxes = [{**WAX, "key": key} for key in ("w3", "w1", "w2")]
    assert [wax.key for wax in read(bare(waxes=waxes)).day.waxes] == ["w1", "w2", "w3"]


def places(value: object, at: str = "") -> list[str]:
    """Every place of a file, the inner ones too."""
    if isinstance(value, dict):
        found = [f"{at}.{key}" if at else str(key) for key in value]
        return found + [deep for key, place in zip(value, found, strict=True) for deep in places(value[key], place)]
    if isinstance(value, list):
        found = [f"{at}[{nth}]" for nth in range(len(value))]
        return found + [deep for item, place in zip(value, found, strict=True) for deep in places(item, place)]
    return []


NESTED = st.recursive(
    st.integers(), lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3)
)


ODD = st.one_of(
    st.just(GONE),
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.sampled_from([0, -1, 1e308, -1e308, 5e-324, 10**30, "", "\x00", "\ud800", "\u202e", "🜚", "9" * 300]),
    st.text(max_size=8),
    NESTED,
)


@settings(max_examples=400, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(places(example())), ODD), min_size=1, max_size=3))
def test_any_change_of_a_good_file_is_read_or_refused_in_one_line(changes: list[tuple[str, object]]) -> None:
    day = example()
    for place, value in changes:
        try:
            put(day, place, value)
        except (KeyError, IndexError, TypeError):
            continue  # an earlier change took the place away
    try:
        assert read(json.dumps(day)).day
    except Refused as refused:
        assert len(str(refused).splitlines()) == 1
        assert refused.place in str(refused)


def test_what_was_measured_of_the_day_s_mix_shortens_its_working_time_and_never_lengthens_it() -> None:
    assert read(changed()).day.gloss_off_min is None
    for gloss_off_min, working_min in ((8, 8), (9.5, 9.5), (12, 9.5)):
        day = read(changed(("gloss_off_min", gloss_off_min))).day
        assert (day.gloss_off_min, day.working_min) == (gloss_off_min, working_min)
    for slip in (0, 570, "8"):
        with pytest.raises(Refused, match=r"^gloss_off_min: .*(give minutes from powder into water|plain number)"):
            read(changed(("gloss_off_min", slip)))
