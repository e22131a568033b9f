"""Waxes of a day file."""

from __future__ import annotations

import pytest

from casting.calc.values.errors import Refused
from casting.dayfile import read
from tests.days.example_file import WAX, bare


def test_a_wax_needs_only_its_required_keys() -> None:
    wax = read(bare(waxes=[WAX])).day.wax("w1")
    assert (wax.student, wax.piece, wax.owner, wax.sprue_g, wax.sprue_pattern) == ("", 1, "school", 0, None)


def test_a_metal_that_is_not_offered_must_be_listed() -> None:
    with pytest.raises(Refused, match=r"^waxes\[0\]\.alloy: \"brass\" stands here, .*not offered"):
        read(bare(waxes=[{**WAX, "alloy": "brass"}]))


def test_names_in_any_script_are_read() -> None:
    wax = {**WAX, "student": "Zoë Ångström", "owner": "李"}
    assert read(bare(waxes=[wax])).day.wax("w1").owner == "李"


def test_a_flask_of_the_plan_before_may_say_where_it_stands() -> None:
    flask = {"size": "64x64", "waxes": ["w1"]}
    place = {"kiln": "k1", "kiln_x_mm": 100, "kiln_y_mm": 120.5}
    read_ = read(bare(waxes=[WAX], previous={"A": flask | place})).day.previous["A"]
    assert (read_.kiln, read_.kiln_x_mm, read_.kiln_y_mm) == ("k1", 100, 120.5)
    assert read(bare(waxes=[WAX], previous={"A": flask})).day.previous["A"].kiln == ""
    with pytest.raises(Refused, match=r"^previous\.A\.kiln: \"k9\" stands here"):
        read(bare(waxes=[WAX], previous={"A": flask | place | {"kiln": "k9"}}))
    for half in ({"kiln": "k1", "kiln_x_mm": 100}, {"kiln_x_mm": 100, "kiln_y_mm": 100}):
        with pytest.raises(Refused, match=r"^previous\.A: a place needs kiln, kiln_x_mm and kiln_y_mm"):
            read(bare(waxes=[WAX], previous={"A": flask | half}))


def test_a_thickest_part_is_not_recorded_until_somebody_measures_it() -> None:
    wax = read(bare(waxes=[WAX])).day.wax("w1")
    assert (wax.thickest_mm, wax.thick_parts) == (None, None)
    measured = read(bare(waxes=[{**WAX, "thickest_mm": 3, "thick_parts": 2}])).day.wax("w1")
    assert (measured.thickest_mm, measured.thick_parts) == (3, 2)


MEDIUM = {**WAX, "depth_mm": 8, "section": "medium"}


# The smallest side is 8 mm; medium begins at 1.2 mm; a ruler may be 5 % off: 8.4 mm.
@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        (
            "thickest_mm",
            1.19,
            r"1\.19 stands here, but its thinnest part is said to have 1\.2 mm or more; measure both",
        ),
        ("thickest_mm", 8.41, r"8\.41 stands here, but the whole wax has only 8 mm one way; measure it across"),
        ("thickest_mm", 0, r"0 stands here, but it must be more than 0 and at most 400; measure it with calipers"),
        ("thickest_mm", None, r"null stands here, but it must be a number"),
        ("thick_parts", 0, r"0 stands here, but it must be at least 1 and at most 12"),
        ("thick_parts", 1.5, r"1\.5 stands here, but it must be a whole number"),
    ],
)
def test_a_thickest_part_that_cannot_be_is_refused_with_the_limit(field, value, words) -> None:
    with pytest.raises(Refused, match=rf"^waxes\[0\]\.{field}: {words}"):
        read(bare(waxes=[{**MEDIUM, field: value}]))
    assert (
        read(bare(waxes=[{**MEDIUM, "thickest_mm": 1.2}])).day
        and read(bare(waxes=[{**MEDIUM, "thickest_mm": 8.4}])).day
    )
