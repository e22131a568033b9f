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
