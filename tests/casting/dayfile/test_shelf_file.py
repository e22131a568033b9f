"""The shelf: in day-file form, every value with a source and a status, the trade's sizes by their mm."""

from __future__ import annotations

import json
import re

import pytest

from casting.calc.cautions.materials import cautions_offered
from casting.calc.values.enums import Status
from casting.dayfile import read
from casting.dayfile.shelf_file import FIXTURES, densities, shelf
from tests.days.example_file import bare

FILE = json.loads((FIXTURES / "shelf.json").read_text("utf-8"))
ELEMENTS = json.loads((FIXTURES / "elements.json").read_text("utf-8"))["elements"]
STATUSES = set(Status)
NAMES = {"key", "name"}


def values() -> list[str]:
    """The path of every value of the shelf that is no name; rows go by their key."""
    paths = [f"defaults.{key}" for key in FILE["defaults"]]
    for section, content in FILE["shelf"].items():
        rows = content if isinstance(content, list) else [content]
        for row in rows:
            at = f"{section}.{row['key']}" if isinstance(content, list) else section
            for key in set(row) - NAMES:
                nested = key in ("flask_c", "button_pct")
                paths += [f"{at}.{key}.{part}" for part in row[key]] if nested else [f"{at}.{key}"]
    return sorted(paths)


@pytest.mark.parametrize("path", values())
def test_every_value_has_a_source_and_a_status(path: str) -> None:
    origin = FILE["sources"][path]
    assert set(origin) == {"source", "status"}
    assert len(origin["source"]) > 8
    assert origin["status"] in STATUSES


def test_no_source_stands_without_its_value() -> None:
    assert sorted(FILE["sources"]) == values()


def test_every_row_is_read_also_those_not_offered() -> None:
    day = read(bare(**FILE["shelf"])).day
    assert set(day.alloys) - set(FILE["offered"]) == {
        *("germanium-sterling", "palladium-white-18k", "nickel-white-14k", "brass", "copper"),
    }


def test_the_metals_offered_are_those_of_a_school() -> None:
    assert set(read(bare()).day.alloys) == {
        *("fine-silver", "sterling", "gold-10k", "gold-14k-grain", "gold-14k", "gold-18k", "gold-14k-rose"),
        "si-bronze",
    }


# trade sizes in inches x 25.4, to whole mm
@pytest.mark.parametrize(
    ("key", "diameter_in", "height_in"),
    [
        ("51x64", 2, 2.5),
        ("64x64", 2.5, 2.5),
        ("64x76", 2.5, 3),
        ("76x76", 3, 3),
        ("76x102", 3, 4),
        ("89x102", 3.5, 4),
        ("102x102", 4, 4),
    ],
)
def test_a_size_is_named_by_its_whole_mm(key: str, diameter_in: float, height_in: float) -> None:
    size = read(bare()).day.size(key)
    assert (size.diameter_mm, size.height_mm) == pytest.approx((diameter_in * 25.4, height_in * 25.4))
    assert key == f"{size.diameter_mm:.0f}x{size.height_mm:.0f}"


# common practice: a firing is called by the hours of its holds, the soak of 1, 1 and 2 h with them
@pytest.mark.parametrize(("key", "soak_h"), [("6h", 1), ("8h", 1), ("12h", 2)])
def test_a_firing_is_named_by_the_hours_of_its_holds(key: str, soak_h: int) -> None:
    (firing,) = [firing for firing in read(bare()).day.firings if firing.key == key]
    hold_h = sum(segment.hold_min for segment in firing.segments) / 60
    assert key == f"{hold_h + soak_h:g}h"


def test_a_pour_is_hotter_than_the_liquidus_by_what_casters_take() -> None:
    # computed from published and practice rows (tests/reference/alloys.csv, AL-SUP-004): 28 to 125 K
    for alloy in read(bare(**FILE["shelf"])).day.alloys.values():
        assert 28 <= alloy.pour_c - alloy.liquidus_c <= 125


def test_the_parts_and_the_specific_gravity_of_gold_and_silver_agree() -> None:
    # 1.5 % for gold-silver-copper, 2.5 % with zinc, nickel or palladium (the rule of mixtures);
    # it does not hold with silicon or germanium
    day = read(bare(**FILE["shelf"])).day
    for alloy in day.alloys.values():
        parts = set(alloy.composition_pct)
        if parts & {"Si", "Ge"}:
            continue
        inverse = sum((share or 0) / densities()[part] for part, share in alloy.composition_pct.items())
        allowed = 0.025 if parts & {"Zn", "Ni", "Pd"} else 0.015
        assert 100 / inverse == pytest.approx(alloy.specific_gravity, rel=allowed)


def test_no_brand_stands_outside_a_source() -> None:
    words = json.dumps([FILE["shelf"], FILE["about"], FILE["offered"], FILE["defaults"]])
    brands = ("Stuller", "Romanoff", "BlueCast", "ESPI", "Hoover", "Rio Grande", "AU Enterprises")
    assert not [brand for brand in brands if brand in words]


def test_every_element_has_a_source() -> None:
    assert all(row["source"] and row["status"] == "computed" for row in ELEMENTS)
    assert len({row["symbol"] for row in ELEMENTS}) == len(ELEMENTS)


def test_prices_are_marked_as_invented() -> None:
    for alloy in shelf().rows("alloys"):
        assert FILE["sources"][f"alloys.{alloy['key']}.price_per_g"]["status"] == "invented"


def test_no_metal_of_the_shelf_trips_its_own_superheat_or_its_own_parts() -> None:
    # Palladium white and copper stop at gypsum's own 1100 C, rightly, and are not offered.
    day = read(bare(**FILE["shelf"])).day
    raised = {(caution.id, caution.text) for caution in cautions_offered(day)}
    assert not [one for one in raised if one[0].startswith(("N-15", "gravity-", "melting-", "resin-", "wax-"))]
    assert not [one for one in raised if one[0].startswith("R-12") and not re.search("palladium|copper", one[1])]


def test_the_offered_14k_with_zinc_raises_the_fan_and_its_stop_and_the_zinc_free_does_not() -> None:
    alloys = {row["key"]: row for row in FILE["shelf"]["alloys"]}
    for key, raises in (("gold-14k-grain", {"R-01a", "R-01b"}), ("gold-14k", set())):
        assert key in FILE["offered"]
        offered = {caution.id for caution in cautions_offered(read(bare(alloys=[alloys[key]])).day)}
        assert offered & {"R-01a", "R-01b"} == raises
