"""A rule becomes a caution with its figures filled in."""

from dataclasses import replace
from string import Formatter

import pytest

from casting.calc.cautions.rulebook import raised, told
from casting.calc.values.caution_rule import CautionRule, Limit, Rulebook
from casting.calc.values.enums import Asked, Level
from casting.calc.values.marked_text import FROM_MEMORY, UP
from casting.dayfile.rules_file import rulebook
from tests.days.day_input import KILN

LIMIT = Limit("carry_most_kg", 7, "invented", "judgement")
RULE = CautionRule(
    id="x",
    level=Level.WARN,
    when=Asked.POUR,
    text="Do not carry {flask}: {mass} kg is over {carry_most_kg}.",
    signs=(),
    basis="invented",
    status="memory",
    clearable=True,
    limits={LIMIT.name: LIMIT},
)
FROM_MEMORY_IN_WORDS = {
    rule.id
    for rule in rulebook().rules.values()
    for limit in rule.limits.values()
    if limit.status == "memory" and f"{{{limit.name}}}" in rule.text
}
BOOK = Rulebook({RULE.id: RULE}, {LIMIT.name: LIMIT})


def test_a_rule_s_own_limit_fills_its_place_in_the_words():
    caution = raised(BOOK, "x", flask="A", mass=7.25)
    assert caution.text == "Do not carry A: 7.25 kg is over 7."
    assert (caution.id, caution.level, caution.when, caution.basis) == ("x", Level.WARN, Asked.POUR, "invented")


def test_a_figure_that_is_passed_comes_before_the_limit_of_that_name():
    assert raised(BOOK, "x", flask="A", mass=9, carry_most_kg=8).text.endswith("over 8.")


def test_a_name_keeps_no_space_that_marks_a_temperature():
    assert raised(BOOK, "x", flask=f"B{UP}C", mass=9).text.startswith("Do not carry B C:")


def test_a_rule_or_a_figure_that_is_not_there_raises():
    with pytest.raises(KeyError, match="y"):
        raised(BOOK, "y", flask="A", mass=9)
    with pytest.raises(KeyError, match="mass"):
        raised(BOOK, "x", flask="A")


def test_a_limit_from_memory_is_marked_in_the_words_of_its_rule():
    remembered = replace(RULE, limits={LIMIT.name: replace(LIMIT, status="memory")})
    book = replace(BOOK, rules={RULE.id: remembered})
    assert raised(book, "x", flask="A", mass=7.25).text == f"Do not carry A: 7.25 kg is over 7{FROM_MEMORY}."


@pytest.mark.parametrize("rule", rulebook().rules.values(), ids=lambda rule: rule.id)
def test_each_limit_in_the_words_of_a_rule_is_marked_if_it_is_from_memory_and_only_then(rule):
    names = [name for _text, name, _spec, _as in Formatter().parse(rule.text) if name]
    values = {name: f"[{name}]" for name in names if name not in rule.limits}
    words = raised(rulebook(), rule.id, **values).text
    for limit in (rule.limits[name] for name in names if name in rule.limits):
        marked = f"{limit.value:g}{FROM_MEMORY}"
        assert (marked in words) == (limit.status == "memory"), words
    assert {"R-12-hot", "R-28", "bowl-full", "core-hot"} <= FROM_MEMORY_IN_WORDS


def test_a_figure_from_memory_is_marked_in_the_words_of_its_rule():
    remembered = replace(KILN, from_memory=frozenset({"wall_gap_mm"}))
    marked = raised(BOOK, "x", flask="A", mass=told(7.25, remembered, "cool_c_per_h", "wall_gap_mm"))
    assert marked.text == f"Do not carry A: 7.25{FROM_MEMORY} kg is over 7."
    plain = raised(BOOK, "x", flask="A", mass=told(7.25, remembered, "cool_c_per_h"))
    assert plain.text == "Do not carry A: 7.25 kg is over 7."
