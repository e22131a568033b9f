"""Heat in a flask beside the check rows."""

from __future__ import annotations

import math

import pytest

from casting.calc.quantities.conduction import Decay, long_cylinder, plane_wall, product
from casting.calc.quantities.flask_heat import lost_c
from casting.calc.schedule.firing import soak_of
from casting.dayfile.rules_file import rulebook
from tests.reference.rows import Row, checks
from tests.reference.values import MM_PER_IN, flask

BOOK = rulebook()
SHAPES = {"infinite cylinder": long_cylinder, "plane wall": plane_wall}


def shape_of(row: Row) -> Decay:
    return SHAPES[row.inputs["geometry"]](row.inputs["Bi"])


@checks("heat", "HT-Z1")
def test_the_first_root(row: Row):
    # computed: scipy 1.17.1 (root of the eigenvalue equation)
    row.check(math.sqrt(shape_of(row).rates[0]))


@checks("heat", "HT-C1")
def test_the_first_weight(row: Row):
    # computed: scipy 1.17.1 (root of the eigenvalue equation)
    row.check(shape_of(row).weights[0])


@checks("heat", "HT-FO")
def test_the_fourier_number_at_a_part_of_the_step(row: Row):
    # computed: scipy 1.17.1 (root of the eigenvalue equation)
    row.check(shape_of(row).time_to(row.inputs["theta_centre"]))


@checks("heat", "HT-TIME")
def test_the_minutes_of_a_long_cylinder(row: Row):
    # computed: scipy 1.17.1 (root of the eigenvalue equation)
    given = row.inputs
    fourier = long_cylinder(given["Bi"]).time_to(given["theta_centre"])
    row.check(fourier * (given["D_in"] * MM_PER_IN / 2) ** 2 / given["alpha_mm2_per_s"] / 60)


@checks("heat", "HT-LAG")
def test_the_centre_behind_the_surface_on_a_long_ramp(row: Row):
    # computed: ramp R2 / (4 alpha), long cylinder; whatever the surface exchanges
    given = row.inputs
    fourier = long_cylinder(5).lag() - long_cylinder(5, at=1).lag()
    hours = fourier * (given["D_in"] * MM_PER_IN / 2) ** 2 / given["alpha_mm2_per_s"] / 3600
    row.check(given["ramp_C_per_h"] * hours)


def equalised_min(row: Row, k_w_per_m_k: float, closed: bool) -> float:
    """As the flasks of the project, with the row's conductivity and footing."""
    given = row.inputs
    radius_mm, height_mm = given["D_in"] * MM_PER_IN / 2, given["H_in"] * MM_PER_IN
    half_mm = height_mm if closed else height_mm / 2
    per_mm = BOOK.limit("flask_kiln_w_per_m2_k") / k_w_per_m_k / 1000
    per_min = 60 * k_w_per_m_k / BOOK.limit("plaster_mj_per_m3_k")
    side, end = long_cylinder(per_mm * radius_mm), plane_wall(per_mm * half_mm)
    core = product(side, per_min / radius_mm**2, end, per_min / half_mm**2)
    return core.time_to(given["within_K"] / (given["from_C"] - given["to_C"]))


@checks("heat", "HT-EQ")
def test_a_flask_with_both_ends_open_comes_near_its_kiln(row: Row):
    # computed: own finite-volume run (scipy BDF) with a steel wall, which the exchange is fitted to
    row.check(equalised_min(row, row.inputs["k_W_per_mK"], closed=False))


@checks("heat", "HT-EQB")
def test_the_band_of_a_flask_on_any_footing(row: Row):
    # computed: own finite-volume run (scipy BDF); its ends as near as the single rows, 10 %
    low, high = (float(end) for end in row.value.split(".."))
    assert equalised_min(row, 0.7, closed=False) == pytest.approx(low, rel=0.1)
    assert equalised_min(row, 0.35, closed=True) == pytest.approx(high, rel=0.1)
    row.check(equalised_min(row, 0.5, closed=True))


@checks("heat", "HT-SOAK-001", "HT-SOAK-002", "HT-SOAK-003", "HT-SOAK-004")
def test_a_soak_is_the_rule_of_practice_or_little_more(row: Row):
    # common practice; 3 in. told for the lower flask
    row.check(soak_of(flask(row.inputs["D_in"], row.inputs["D_in"] + 0.5 * (row.inputs["D_in"] != 3)), 194,
                              after_top=True, book=BOOK).needed_min)  # fmt: skip


@checks("heat", "HT-DROP")
def test_what_the_side_of_a_flask_loses_in_air(row: Row):
    # computed: own finite-volume run (scipy BDF) with a steel wall, which the exchange is fitted to; 2.5 x 2.5 in.
    given = row.inputs
    row.check(lost_c(flask(2.5), given["from_C"], given["seconds_s"] / 60, BOOK, given["depth_mm"]))


@checks("heat", "HT-OUT-001")
def test_the_published_time_out_of_the_kiln(row: Row):
    # source: Todd and Gilman, "Five Steps for Successful Investing"; 6 mm inside the wall of a 538 C flask, as above
    def lost_at(seconds: float) -> float:
        return lost_c(flask(2.5), 538, seconds / 60, BOOK, 6)

    seconds = next(s for s in range(60, 200) if lost_at(s) >= row.inputs["drop_F"] / 1.8)
    row.check(seconds)


@checks("heat", "HT-OUT-003")
def test_the_most_from_kiln_to_pour(row: Row):
    # common practice
    row.check(BOOK.limit("kiln_to_pour_min"))
