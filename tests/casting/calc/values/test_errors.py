"""Errors are sentences, with their numbers as attributes."""

from casting.calc.values.errors import CastingError, NotASize, NotAWeight, Refused, marked, worded


def test_a_weight_that_cannot_be_is_said_with_its_number():
    wrong = NotAWeight(-2.0)
    assert (str(wrong), wrong.weight_g) == ("The wax must weigh more than 0 g, not -2 g.", -2.0)
    assert str(NotAWeight(0.0, "sprue")) == "The sprue must weigh more than 0 g, not 0 g."


def test_a_size_that_cannot_be_is_said_with_its_number_and_unit():
    wrong = NotASize(0.5, "volume", "ml")
    assert (str(wrong), wrong.size) == ("The volume must be more than 0 ml, not 0.5 ml.", 0.5)
    assert str(NotASize(-1, "height")) == "The height must be more than 0 mm, not -1 mm."


def test_a_refused_day_says_where_and_why_and_is_a_value_error():
    refused = Refused("waxes[0].wax_g", "Write a weight.")
    assert (refused.place, refused.sentence) == ("waxes[0].wax_g", "Write a weight.")
    assert str(refused) == "waxes[0].wax_g: Write a weight."
    assert isinstance(refused, CastingError) and isinstance(refused, ValueError)


def test_a_marked_figure_is_plain_in_a_refusal_and_can_be_read_otherwise():
    refused = Refused("height_mm", f"{marked('mm', 50.8, '50.8 mm')} is too low; give {marked('mm', '', 'mm')}.")
    assert refused.sentence == "50.8 mm is too low; give mm."
    assert str(refused) == "height_mm: 50.8 mm is too low; give mm."
    assert worded(refused.marked, lambda unit, value, plain: f"<{unit} {value}>") == "<mm 50.8> is too low; give <mm >."
