"""The handout's lines: their rules are in the rulebook and their signs are drawn."""

from casting.dayfile.rules_file import rulebook
from casting.drawings.signs import FIGURES
from casting.papers.sheets.handout_words import STEPS, STOPS, on

LINES = [*STOPS, *(line for _words, lines in STEPS for line in lines)]


def test_a_line_names_only_rules_of_the_rulebook():
    assert {rule for line in LINES for rule in line.when | line.speaks_for} <= set(rulebook().rules)


def test_a_line_that_waits_for_a_rule_is_brought_by_each_rule_that_it_speaks_for():
    assert not [line.text for line in LINES if line.when and not line.speaks_for <= line.when]


def test_a_line_has_only_signs_that_are_drawn():
    assert {line.sign for line in LINES} - {None} <= set(FIGURES)


def test_rules_are_listed_by_id():
    assert on("R-21", "R-33") == {"R-33", "R-21"}
