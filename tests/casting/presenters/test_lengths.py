"""Lengths in the school's unit: mm, or inches beside them."""

from decimal import Decimal

import pytest
from django.utils.translation import override

from casting.calc.values.day_input import FlaskSize
from casting.calc.values.enums import Section
from casting.presenters import lengths
from casting.presenters.formats import SchoolUnits
from casting.presenters.lengths import UNIT
from casting.units import Length

METRIC, INCHES = SchoolUnits(), SchoolUnits(length=Length.INCH)


def size(diameter_mm, height_mm):
    return FlaskSize("x", diameter_mm, height_mm, diameter_mm + 4, 1, 10, 24, 3, 16, 4)


def test_a_flask_in_quarters_of_an_inch_is_told_so():
    assert lengths.flask_size(size(63.5, 76.2), INCHES) == "2½ × 3 in"
    assert lengths.flask_size(size(63.5, 76.2), METRIC).startswith("63.5 × 76.2")


def test_a_flask_that_is_no_quarter_stays_in_mm():
    assert lengths.flask_size(size(60, 80), INCHES).startswith("60 × 80")


def test_a_length_has_its_inches_first_where_they_are_read():
    # 6.5 / 25.4 = 0.2559, 50.8 / 25.4 = 2
    assert [lengths.length(6.5, units) for units in (METRIC, INCHES)] == [
        "6.5\u202fmm",
        "0.26\u202fin (6.5\u202fmm)",
    ]
    assert lengths.length(50.8, INCHES) == "2\u202fin (50.8\u202fmm)"


def test_the_sides_of_a_thing_have_their_unit_once():
    # 22 / 25.4 = 0.866, 8 / 25.4 = 0.315 (up: half a hundredth), 33 / 25.4 = 1.299
    given = [Decimal(22), Decimal(8), Decimal("33.0")]
    assert lengths.sides(given, METRIC) == "22 × 8 × 33\u202fmm"
    assert lengths.sides(given, INCHES) == "0.87 × 0.31 × 1.3\u202fin (22 × 8 × 33\u202fmm)"


@pytest.mark.parametrize(
    ("say", "length_mm", "metric", "inches"),
    [
        # 5.99 / 25.4 = 0.23583; 6 is met to within 0.003 mm: 0.23622; 19.01 / 25.4 = 0.74842
        (lengths.length_down, 5.99, "5.9\u202fmm", "0.23\u202fin (5.9\u202fmm)"),
        (lengths.length_down, 5.9994, "6.0\u202fmm", "0.23\u202fin (6.0\u202fmm)"),
        (lengths.length_up, 19.01, "19.1\u202fmm", "0.75\u202fin (19.1\u202fmm)"),
        (lengths.short_down, 12.7, "12.7\u202fmm", "0.50\u202fin"),
        (lengths.short_length, 12.7, "12.7\u202fmm", "0.5\u202fin"),
    ],
)
def test_a_clearance_never_reads_as_more_nor_what_is_too_much_as_less(say, length_mm, metric, inches):
    assert (say(length_mm, METRIC), say(length_mm, INCHES)) == (metric, inches)


def test_a_sentence_has_its_lengths_in_inches_beside_their_mm():
    said = f"88{UNIT} tall; 22 x 8.5{UNIT} from above; at least 6*\u2060{UNIT}; …{UNIT} set; a 3 mm drill."
    # 88 / 25.4 = 3.46, 22 / 25.4 = 0.87, 8.5 / 25.4 = 0.33, 6 / 25.4 = 0.24
    told = (
        "3.46\u202fin (88 mm) tall; 0.87 x 0.33\u202fin (22 x 8.5 mm) from above; "
        "at least 0.24*\u2060\u202fin (6*\u2060 mm); … in set; a 3 mm drill."
    )
    assert lengths.in_sentence(said, INCHES) == told
    assert lengths.in_sentence(said, METRIC) == said.replace(UNIT, " mm")
    with override("es"):
        assert lengths.in_sentence(f"8,5{UNIT} de alto", INCHES) == "0,33\u202fin (8,5 mm) de alto"


def test_thicknesses_have_their_ends_in_the_school_s_unit():
    # 0.8, 1.2 and 2.5 mm are 0.0315, 0.0472 and 0.0984 in, to the hundredth
    words = [lengths.section_in_words(one, INCHES).replace("\u202f", " ") for one in Section]
    assert words == [
        "very thin, under 0.03 in (0.8 mm)",
        "thin, 0.03 in (0.8 mm) to 0.05 in (1.2 mm)",
        "medium, 0.05 in (1.2 mm) to 0.1 in (2.5 mm)",
        "heavy, above 0.1 in (2.5 mm)",
    ]
    assert lengths.section_in_words(Section.THIN, METRIC) == "thin, 0.8 to 1.2 mm"
