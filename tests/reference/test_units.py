"""Units against their definitions: the rows of `units.csv`, each with its source beside its value.

Rows about units that nobody types here are named in `README.md`.
"""

import csv
import json
from decimal import Decimal
from pathlib import Path

import pytest

from casting.calc.quantities.vacuum import MBAR_IN, SEA_LEVEL_MBAR
from casting.presenters.formats import SchoolUnits, ramp
from casting.presenters.lengths import MM_PER_INCH
from casting.units import (
    Mass,
    NotUnderstood,
    Temperature,
    from_celsius,
    from_grams,
    grams,
    read_number,
)
from tests.reference.rows import CHECKED, Row, checks

with (Path(__file__).parent / "units.csv").open(encoding="utf-8", newline="") as file:
    ROWS = {row["id"]: row for row in csv.DictReader(file)}


UNITS = {*Mass, "in"}
"""What masses and lengths are typed in."""


def rows(*starts):
    """The rows of these kinds whose units are typed here, noted as checked."""
    found = {key: row for key, row in ROWS.items() if key.startswith(starts) and of_ours(row)}
    CHECKED["units"] |= set(found)
    return [pytest.param(row, id=key) for key, row in found.items()]


def of_ours(row):
    """Whether a mass or a length is in units that are typed here; other rows are about figures in words."""
    given = json.loads(row["inputs"])
    if row["unit"] not in {*Mass, "mm"} or not row["id"].startswith(("UN-EX", "UN-CV")):
        return not row["id"].startswith(("UN-EX", "UN-CV"))
    return len(given) == 1 and next(iter(given)).rpartition("_")[2] in UNITS


def only_input(row):
    ((name, value),) = json.loads(row["inputs"], parse_float=Decimal, parse_int=Decimal).items()
    return name.rpartition("_")[2], value


def near(row, got):
    """Exact where the row says so, as Decimal."""
    return abs(got - Decimal(row["value"])) <= Decimal(row["tolerance"])


@pytest.mark.parametrize("row", rows("UN-EX", "UN-CV"))
def test_masses_and_lengths(row):
    unit, amount = only_input(row)
    in_inches = unit == "in"
    got = amount * MM_PER_INCH if in_inches else from_grams(grams(amount, Mass(unit)), Mass(row["unit"]))
    assert near(row, got)


@pytest.mark.parametrize("row", rows("UN-FC"))
def test_temperatures(row):
    """The rows are in Celsius to the tolerance beside them; a degree C is 1.8 degrees F."""
    _unit, fahrenheit = only_input(row)
    got = from_celsius(Decimal(row["value"]), Temperature.FAHRENHEIT)
    assert abs(got - fahrenheit) <= Decimal(row["tolerance"]) * Decimal("1.8")


@pytest.mark.parametrize("row", rows("UN-DF"))
def test_differences_have_no_32_in_them(row):
    _unit, fahrenheit = only_input(row)
    per_hour = ramp(float(row["value"]), SchoolUnits(temperature=Temperature.FAHRENHEIT))
    assert per_hour.replace("\u202f", " ") == f"{fahrenheit} °F/h"


@pytest.mark.parametrize("row", rows("UN-TRAP"))
def test_what_a_units_library_misreads_never_reaches_it(row):
    (text,) = json.loads(row["inputs"]).values()
    for unit in Mass:
        with pytest.raises(NotUnderstood):
            read_number(text, unit)


@checks("units", "UN-CV-005")
def test_a_troy_ounce_over_an_ounce(row):
    row.check(float(grams(Decimal(1), Mass.TROY_OUNCE) / grams(Decimal(1), Mass.OUNCE)))


@checks("units", "UN-PR-001", "UN-PR-003", "UN-PR-004")
def test_units_of_a_gauge(row: Row):
    # computed: NIST SP 811 (from memory); arithmetic
    ((unit, amount),) = ((name.rpartition("_")[2], value) for name, value in row.inputs.items())
    row.check(amount * MBAR_IN["mmHg" if unit == "Torr" else unit] * 100)


@checks("units", "UN-PR-002")
def test_the_standard_atmosphere_in_inches_of_mercury(row: Row):
    # computed: NIST SP 811 (from memory); arithmetic
    row.check(SEA_LEVEL_MBAR / MBAR_IN["inHg"])
