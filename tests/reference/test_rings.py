"""Ring sizes and shrinkage against the rows of `rings.csv`, each with its source."""

import math

import pytest

from casting.calc.quantities.ring import (
    CARVING_PCT,
    ISO_LEAST,
    ISO_MOST,
    NotARingSize,
    RingScale,
    carved_mm,
    inside_mm,
    shrinkage_of,
    us_size,
)
from casting.forms.hand_in import WaxForm
from tests.casting_factories import DayFactory, typed
from tests.reference.rows import Row, checks


def letter(size: str) -> float:
    """A UK size as a number: A is 1, a half letter 0.5."""
    sign, _, half = size.partition(" ")
    return ord(sign) - ord("A") + 1 + (0.5 if half else 0)


@checks("rings", "RG-USD", "RG-USC", "RG-USP", "RG-RIV")
def test_us_sizes(row: Row):
    # computed: d[in] = 0.458 + 0.032 s. source: encyclopaedia table of ring sizes; R. Rowlett, How Many?
    diameter = inside_mm(row.inputs["us_size"], RingScale.US)
    row.check(diameter * math.pi if row.quantity == "inside_circumference" else diameter)


@checks("rings", "RG-USI")
def test_the_nearest_iso_size_of_a_us_size(row: Row):
    # computed: ISO 8653, size = inside circumference in mm
    row.check(round(inside_mm(row.inputs["us_size"], RingScale.US) * math.pi))


@checks("rings", "RG-ISO", "RG-ISP")
def test_iso_sizes(row: Row):
    # computed and published: ISO 8653 (text of BS EN ISO 8653:2014)
    row.check(inside_mm(row.inputs["iso_size"], RingScale.ISO))


@checks("rings", "RG-ISR", quantity="size_range")
def test_the_range_of_iso(row: Row):
    # source: ISO 8653 (text of BS EN ISO 8653:2014)
    row.check(ISO_LEAST)
    row.check(ISO_MOST)
    for outside in (ISO_LEAST - 1, ISO_MOST + 1):
        with pytest.raises(NotARingSize):
            inside_mm(outside, RingScale.ISO)


@checks("rings", "RG-UK", "RG-UKH", "RG-UKO-005", "RG-UKO-008")
def test_uk_letters(row: Row):
    # source: R. Rowlett, How Many? A Dictionary of Units (C = 36.25 + 1.25 n); half letters computed; shops' lists are
    # common practice
    diameter = inside_mm(letter(row.inputs["uk_size"]), RingScale.UK)
    row.check(diameter * math.pi if row.quantity == "inside_circumference" else diameter)


@checks("rings", "RG-USD", "RG-USP", "RG-RIV")
def test_inches_round_the_inside_are_the_same_ring(row: Row):
    round_in = inside_mm(row.inputs["us_size"], RingScale.US) * math.pi / 25.4
    row.check(inside_mm(round_in, RingScale.INCHES))


@checks("rings", "RG-REV")
def test_a_us_size_read_back(row: Row):
    # computed: s = (d - 11.6332)/0.8128
    row.check(us_size(row.inputs["inside_diameter_mm"]))


@checks("rings", "RG-CMP")
def test_what_to_carve(row: Row):
    # computed: d/(1 - p)
    row.check(carved_mm(inside_mm(row.inputs["us_size"], RingScale.US), row.inputs["shrinkage_pct"]))


@checks("rings", "RG-SHS")
def test_by_how_many_sizes_a_ring_comes_out_smaller(row: Row):
    # computed: arithmetic
    diameter = inside_mm(row.inputs["us_size"], RingScale.US)
    row.check(row.inputs["us_size"] - us_size(diameter * (1 - row.inputs["shrinkage_pct"] / 100)))


@checks("rings", "RG-SHR-001", "RG-SHR-003")
def test_shrinkage(row: Row):
    # source: Artistry of Gold, "Mold shrinkage"
    row.check(shrinkage_of(row.inputs.get("steps_pct", [CARVING_PCT])))


@checks("rings", "RG-SHW")
def test_shrinkage_belongs_to_the_size_and_not_to_the_weight(row: Row):
    # computed: cube. Nothing of it is taken off the metal: the wax that was weighed is the one that is cast.
    row.check(100 * (1 - (1 - row.inputs["shrinkage_pct"] / 100) ** 3))


@checks("bad_inputs", "BI-RING-003", "BI-RING-004", "BI-RING-005")
def test_what_is_no_iso_size_is_refused_with_what_it_may_be(row: Row, db):
    # computed: made-up fixture; source: a published text (not named)
    size = row.inputs.get("iso_size", row.inputs.get("inside_circumference_mm"))
    ring = {"ring_scale": "iso", "ring_size": f"{size:g}", "band_mm": "6", "wall_mm": "2", "sprue_long_mm": "9"}
    day = DayFactory()
    form = WaxForm(typed(day, width_mm="", depth_mm="", height_mm="", **ring), day=day)
    said = " ".join(form.errors["ring_size"])
    asked = {"BI-RING-003": "from 41 to 76", "BI-RING-004": "it is 54", "BI-RING-005": "Is it the diameter?"}[row.id]
    assert asked in said and (row.id == "BI-RING-004" or asked in row.note.replace("run from", "from"))
