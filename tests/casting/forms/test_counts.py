"""The box for a whole number."""

from casting.forms.counts import whole_number


def test_it_is_a_text_box_with_a_keyboard_of_digits():
    box = whole_number()
    assert box.input_type == "text" and box.attrs["inputmode"] == "numeric"
