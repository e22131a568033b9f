"""Metals and powder: what follows from their parts, and what the shelf fills in."""

from __future__ import annotations

import json

import pytest

from casting.calc.cautions.materials import cautions_offered
from casting.calc.values.enums import Status
from casting.calc.values.errors import Refused
from casting.dayfile import read
from casting.dayfile.materials import IN_THE_KILN
from casting.dayfile.shelf_file import FIXTURES
from tests.days.example_file import GONE, bare, changed

FIRST = "alloys[0]"


def test_a_specific_gravity_left_out_comes_from_the_parts() -> None:
    # by hand: 100 / (92.5 / 10.50 + 7.5 / 8.96) = 100 / (8.8095 + 0.8371) = 10.366
    alloy = read(changed(("alloys[0].specific_gravity", GONE))).day.alloys["sterling"]
    assert alloy.specific_gravity == pytest.approx(10.366, abs=0.002)


def test_a_part_that_is_not_recorded_is_not_zero() -> None:
    parts = {"Cu": 70, "Zn": None}
    alloy = read(changed(("alloys[0].composition_pct", parts))).day.alloys["sterling"]
    assert alloy.composition_pct == parts


@pytest.mark.parametrize("silver_pct", [92.0, 93.0])
def test_parts_may_add_up_to_half_a_percent_off(silver_pct: float) -> None:
    # 92 + 7.5 = 99.5 and 93 + 7.5 = 100.5, the ends that are allowed
    read(changed(("alloys[0].composition_pct.Ag", silver_pct)))


def test_a_price_left_out_is_the_shelf_s() -> None:
    day = read(changed(("alloys[0].price_per_g", GONE), ("investment.price_per_kg", GONE))).day
    shelf = read(bare()).day
    assert day.alloys["sterling"].price_per_g == shelf.alloys["sterling"].price_per_g
    assert day.investment.price_per_kg == shelf.investment.price_per_kg
    assert day.missing_prices == ()


def own(**given: object) -> dict[str, object]:
    """What a second pattern of the example is read as doing in the kiln."""
    row = {"key": "own", "kind": "resin", "specific_gravity": 1.1} | given
    pattern = read(changed(("patterns[1]", row))).day.patterns[str(row["key"])]
    return {what: getattr(pattern, what) for what in IN_THE_KILN}


def test_a_pattern_takes_over_what_the_shelf_knows_of_its_key() -> None:
    assert own(key="injection-wax") == dict.fromkeys(IN_THE_KILN, False)
    assert own(key="PVC")["poison_gas"] is True
    assert own(key="pine cone")["ash"] is True
    assert own() == dict.fromkeys(IN_THE_KILN)


def test_not_recorded_never_makes_a_known_danger_go_away() -> None:
    unrecorded = dict.fromkeys(IN_THE_KILN)
    assert own(**unrecorded) == unrecorded
    assert own(key="injection-wax", **unrecorded) == unrecorded
    assert own(key="pvc", **unrecorded)["poison_gas"] is True


def test_what_a_school_records_of_its_own_plastic_stands() -> None:
    assert own(key="petg")["unknown_plastic"] is True
    assert own(key="petg", unknown_plastic=False, poison_gas=False)["unknown_plastic"] is False


def test_no_for_a_material_that_is_known_to_give_off_poison_gas_is_refused() -> None:
    with pytest.raises(
        Refused, match=r'^patterns\[1\]\.poison_gas: false stands here, but "pvc" is known to'
    ) as refused:
        own(key="pvc", poison_gas=False)
    assert "write true" in str(refused.value)


@pytest.mark.parametrize("kind", ["Gypsum", "plaster", "", None, 3])
def test_a_powder_of_a_kind_that_nobody_knows_is_refused_with_the_list(kind: object) -> None:
    with pytest.raises(Refused, match=r"^investment\.kind: .* take one of: gypsum, phosphate, unknown\.$"):
        read(changed(("investment.kind", kind)))


def test_a_material_of_the_shelf_s_list_has_a_source_and_its_worth() -> None:
    rows = json.loads((FIXTURES / "shelf.json").read_text("utf-8"))["materials"]
    assert len({row["key"] for row in rows}) == len(rows)
    for row in rows:
        assert set(row) == {"key", *IN_THE_KILN, "source", "status"}
        assert len(row["source"]) > 8 and row["status"] in tuple(Status)
        assert row["status"] != "memory" or "memory" in row["source"]


@pytest.mark.parametrize("minutes", [0, 1, 1.9])
def test_a_quench_while_the_button_is_red_is_refused(minutes: float) -> None:
    rows = [[64, minutes], [102, 10]]
    with pytest.raises(Refused, match=r"^alloys\[0\]\.quench_min_by_diameter\[0\]\[1\]: .* under 2 minutes") as refused:
        read(changed(("alloys[0].quench_min_by_diameter", rows)))
    assert "give the minutes of the metal's data sheet" in str(refused.value)
    read(changed(("alloys[0].quench_min_by_diameter", rows), ("alloys[0].quench_by_min", 1.5)))


@pytest.mark.parametrize(("minutes", "by"), [(2, None), (2, 20), (10, 1)])
def test_a_quench_of_two_minutes_is_read(minutes: float, by: float | None) -> None:
    read(changed(("alloys[0].quench_min_by_diameter", [[64, minutes]]), ("alloys[0].quench_by_min", by)))


@pytest.mark.parametrize("figure", [10.36, 7, GONE])
def test_aluminium_is_refused_at_its_parts_in_words_of_its_own(figure: object) -> None:
    parts = {"Al": 92.0, "Cu": 8.0}
    changes = ("alloys[0].composition_pct", parts), ("alloys[0].specific_gravity", figure)
    with pytest.raises(Refused, match=r"^alloys\[0\]\.composition_pct: .* no aluminium is cast in this class"):
        read(changed(*changes))
    # aluminium bronze, 92 copper and 8 aluminium, is copper
    read(changed(("alloys[0].composition_pct", {"Cu": 92.0, "Al": 8.0}), ("alloys[0].specific_gravity", GONE)))


@pytest.mark.parametrize("gravity", [7, 22])
def test_a_specific_gravity_on_the_limit_is_read_where_no_parts_contradict_it(gravity: float) -> None:
    day = read(changed((f"{FIRST}.composition_pct", None), (f"{FIRST}.specific_gravity", gravity))).day
    assert day.alloys["sterling"].specific_gravity == gravity


# Worked by hand: sterling's parts make 10.36 (100 / (92.5 / 10.49 + 7.5 / 8.96)), gold's of 58.5/25/16.5 make 13.78,
# brass's of 70/30 make 8.32, silicon bronze's 8.03. 9.36, 13.6 and 15.39 are slips of the trials; 8.36 is published.
@pytest.mark.parametrize(
    ("parts", "gravity"),
    [
        ({"Ag": 92.5, "Cu": 7.5}, 9.36),
        ({"Ag": 92.5, "Cu": 7.5}, 13.6),
        ({"Au": 58.5, "Ag": 25, "Cu": 16.5}, 15.39),
        ({"Cu": 70, "Zn": 30}, 9.2),
        ({"Cu": 94.9, "Si": 4, "Mn": 1.1}, 7.1),
    ],
)
def test_a_specific_gravity_far_from_the_parts_is_refused_with_both_figures(parts: object, gravity: float) -> None:
    with pytest.raises(Refused) as refused:
        read(changed((f"{FIRST}.composition_pct", parts), (f"{FIRST}.specific_gravity", gravity)))
    assert refused.value.place == f"{FIRST}.specific_gravity"
    assert f"{gravity:g}" in str(refused.value) and "the parts make" in str(refused.value)


# The wider limit of metals that shrink on alloying: 5.9 % over the parts is not asked, 6.2 % is; in gold and silver 1.9
# and 2.1 %. The parts as above; published: silicon bronze 8.36 (4.2 % over), brass 8.53 (2.5 %).
@pytest.mark.parametrize(
    ("parts", "gravity", "asked"),
    [
        ({"Cu": 70, "Zn": 30}, 8.81, False),
        ({"Cu": 70, "Zn": 30}, 8.84, True),
        ({"Cu": 70, "Zn": 30}, 8.53, False),
        ({"Cu": 94.9, "Si": 4, "Mn": 1.1}, 8.36, False),
        ({"Ag": 92.5, "Cu": 7.5}, 10.55, False),
        ({"Ag": 92.5, "Cu": 7.5}, 10.14, True),
        ({"Ag": 92.5, "Cu": None}, 10.9, False),
    ],
)
def test_a_specific_gravity_near_the_parts_is_asked_about_or_let_pass(
    parts: object, gravity: float, asked: bool
) -> None:
    day = read(changed((f"{FIRST}.composition_pct", parts), (f"{FIRST}.specific_gravity", gravity))).day
    said = [one for one in cautions_offered(day) if one.id == "gravity-ask"]
    assert bool(said) is asked
    assert all(f"{gravity:.2f}" in one.text and "its parts make" in one.text for one in said)


def test_the_water_of_a_mix_is_not_recorded_until_it_is_given() -> None:
    assert read(changed()).day.investment.water_c is None
    assert read(changed(("investment.water_c", [22, 23]))).day.investment.water_c == (22, 23)
    assert read(bare()).day.investment.water_c == (22, 23)  # the shelf's


@pytest.mark.parametrize(
    ("value", "said"),
    [
        # 70 F less 32, over 1.8, is 21.1 C
        ([70, 75], r"water_c\[0\]: 70 C is too hot for the water of a mix \(50 C\)\. Did you mean 70 F, which is 21 C"),
        ([22, 51], r"water_c\[1\]: 51 C is too hot for the water of a mix \(50 C\)\. Look at the powder's sheet"),
        ([23, 22], r"water_c: \[23, 22\] stands here, but it runs backwards"),
        ([22], r"water_c: a list stands here, but it is the coolest and the warmest"),
        (22, r"water_c: 22 stands here, but it must be a list"),
    ],
)
def test_water_that_cannot_be_meant_is_refused(value: object, said: str) -> None:
    with pytest.raises(Refused, match=said):
        read(changed(("investment.water_c", value)))
