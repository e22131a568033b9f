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
