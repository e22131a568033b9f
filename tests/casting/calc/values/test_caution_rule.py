"""The rulebook as a value: limits by name, materials by rule."""

import pytest

from casting.calc.values.caution_rule import Limit, Rulebook
from casting.dayfile.rules_file import rulebook


def test_a_limit_is_found_by_its_name_and_a_misspelt_name_raises():
    book = Rulebook(limits={"gap_mm": Limit("gap_mm", 2.5, "invented", "memory")})
    assert book.limit("gap_mm") == 2.5
    with pytest.raises(KeyError, match="gap_m"):
        book.limit("gap_m")


def test_the_materials_of_a_rule_are_found_by_its_id():
    # G. M. Ingo et al. 2001 (abstract): plaster breaks down under platinum.
    assert "Pt" in rulebook().materials("R-12-metal")
    assert rulebook().materials("R-21") == frozenset()
    with pytest.raises(KeyError, match="R-99"):
        rulebook().materials("R-99")
