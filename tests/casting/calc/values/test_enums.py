"""The closed lists of words."""

from casting.calc.values.enums import Powder, Section


def test_sections_are_steps_from_the_thinnest():
    assert [Section(word).step for word in ("very_thin", "thin", "medium", "heavy")] == [0, 1, 2, 3]


def test_a_powder_that_nobody_recorded_may_be_either():
    assert [kind for kind in Powder if kind.may_be_gypsum] == [Powder.GYPSUM, Powder.UNKNOWN]
    assert [kind for kind in Powder if kind.may_be_phosphate] == [Powder.PHOSPHATE, Powder.UNKNOWN]
