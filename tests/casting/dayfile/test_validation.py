"""Readers of plain values: several mistakes told together, and no field of a thing forgotten."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields

import pytest

from casting.calc.values import day_input
from casting.calc.values.errors import Refused
from casting.dayfile import equipment, materials, reading, waxes
from casting.dayfile.validation import check_text, number, read_fields, read_from_memory, read_items, refusals_of
from tests.days.example_file import example

READERS = {"key": check_text, "width_mm": number(over=0, most=400), "price": number(least=0)}


def told(value: object, optional: tuple[str, ...] = ()) -> list[str]:
    """Every refusal of a value, each in a line."""
    with pytest.raises(Refused) as refused:
        read_fields(value, "things[0]", READERS, optional)
    return [str(one) for one in refusals_of(refused.value)]


def test_every_mistake_of_an_object_is_told_at_its_place() -> None:
    assert told({"key": "a", "width_mm": -3, "prise": 1}) == [
        'things[0].prise: "prise" stands here, but no such key is known; did you mean price.',
        "things[0].price: nothing stands here, but it is required; fill it in.",
        "things[0].width_mm: -3 stands here, but it must be more than 0 and at most 400; correct it.",
    ]


def test_the_first_mistake_is_the_refusal_s_own() -> None:
    with pytest.raises(Refused, match=r"^things\[0\]\.key: ") as refused:
        read_fields({"key": "", "width_mm": 0, "price": 1}, "things[0]", READERS)
    assert [one.place for one in refusals_of(refused.value)] == ["things[0].key", "things[0].width_mm"]


def test_an_optional_field_that_is_absent_is_absent_from_what_was_read() -> None:
    assert read_fields({"key": "a", "width_mm": 4}, "", READERS, ("price",)) == {"key": "a", "width_mm": 4}


def test_an_optional_field_that_is_there_is_checked() -> None:
    assert told({"key": "a", "width_mm": 4, "price": -1}, ("price",)) == [
        "things[0].price: -1 stands here, but it must be at least 0; correct it."
    ]


def test_every_mistake_in_a_list_is_told() -> None:
    with pytest.raises(Refused) as refused:
        read_items([1, "a", -1], "rows", number(least=0))
    assert [one.place for one in refusals_of(refused.value)] == ["rows[1]", "rows[2]"]


def test_a_value_that_json_does_not_know_is_refused_and_shown() -> None:
    with pytest.raises(Refused, match=r"must be a number"):
        number(least=0)({1, 2}, "rows[0]")


OF_SHELF = {"alloy", "pattern", "sprue_pattern"}
COMPUTED = {"gravity_of_parts", "melt_j_per_g"}


@pytest.mark.parametrize(
    ("made", "readers"),
    [
        (day_input.Alloy, materials.ALLOY),
        (day_input.Pattern, materials.PATTERN),
        (day_input.Investment, materials.INVESTMENT),
        (day_input.FlaskSize, equipment.SIZE),
        (day_input.Kiln, equipment.KILN),
        (day_input.Firing, equipment.FIRING),
        (day_input.Segment, equipment.SEGMENT),
        (day_input.Rules, equipment.RULES),
        (day_input.Wax, waxes.WAX.keys() | OF_SHELF),
    ],
)
def test_every_field_of_a_thing_has_its_reader(made: type, readers: Iterable[str]) -> None:
    assert {field.name for field in fields(made)} - COMPUTED == set(readers)


def test_every_key_of_the_contract_s_example_has_its_reader() -> None:
    """What was done, and what was made by hand, has an example of its own; a mix's gloss is told beside it."""
    done = {"now", "invested_at", "poured", "kiln_on_at", "charged_g", "spilled"}
    by_hand = {"placed", "kept_out", "reach_overruled"}
    assert set(example()) == set(reading.DAY) - done - by_hand - {"gloss_off_min"}


OF_ALLOY = {"key": check_text, "pour_c": number(), "flask_c": number()}


def test_figures_from_memory_are_keys_of_their_object_or_parts_of_them() -> None:
    assert read_from_memory(["pour_c", "flask_c.thin"], "alloys[0]", OF_ALLOY) == {"pour_c", "flask_c.thin"}


@pytest.mark.parametrize("name", ["poor_c", "key", "thin.flask_c"])
def test_an_unknown_figure_from_memory_is_refused_at_its_place(name: str) -> None:
    with pytest.raises(Refused) as refused:
        read_from_memory(["pour_c", name], "from_memory", OF_ALLOY)
    assert refused.value.place == "from_memory[1]"
    assert refused.value.sentence == f'"{name}" stands here, but no such figure is known; write its key, as in pour_c.'
