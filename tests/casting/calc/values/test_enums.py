"""The closed lists of words."""

from casting.calc.values.enums import Section


def test_sections_are_steps_from_the_thinnest():
    assert [Section(word).step for word in ("very_thin", "thin", "medium", "heavy")] == [0, 1, 2, 3]
