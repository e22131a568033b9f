"""The rule file itself: its words, its sources and limits, and that no rule of the list is forgotten."""

import ast
import json
import re
from pathlib import Path

import pytest
from django.utils.translation import override

from casting.calc.values.enums import Asked, Level
from casting.dayfile.defects_file import cause_rules
from casting.dayfile.rules_file import rulebook, rulebook_of
from casting.dayfile.shelf_file import FIXTURES
from casting.papers.sheets import handout_words as words
from tests.casting.calc.cautions import cases as of_day
from tests.casting.calc.cautions import test_school_rules as of_school

FILE = json.loads((FIXTURES / "cautions.json").read_text("utf-8"))
RULES = list(rulebook().rules.values())
LISTED = [f"R-{n:02}" for n in range(1, 41)] + [f"N-{n:02}" for n in range(1, 29)]
NEVER_CLEARED = {"R-01b", "R-10", "R-21", "N-04-cold", "N-04-crack", "N-04-fall-stop", "N-07", "N-10"} | {
    "R-12-hot",
    "R-12-metal",
    "N-15-stop",
    "kiln-too-cool",
}
"""Zinc without a fan, poison patterns, wet or unfinished flask, flask too cold for its plaster, red button, old slurry.

And what leaves a wax out all the same: too hot for plaster, no metal for plaster, poured too far over its liquidus.
And a kiln that does not reach the top of its firing, which no reason makes hotter.
"""


def syllables(word):
    """Groups of vowels, without a silent e: a rule of thumb, right for most words (common practice)."""
    word = re.sub(r"[^a-z]", "", word.lower())
    count = len(re.findall(r"[aeiouy]+", word))
    silent = re.search(r"[^aeiouyl]e$|[^aeiouy]le$|[^td]ed$|[^sxzhcg]es$", word)
    return max(1, count - bool(silent and not word.endswith("le")))


def grade(text):
    """Flesch and Kincaid's school grade of a text (J. P. Kincaid et al. 1975, from memory)."""
    sentences = re.split(r"(?<=[.?!:;])\s+", text.strip())
    said = re.findall(r"[A-Za-z']+", text)
    return 0.39 * len(said) / len(sentences) + 11.8 * sum(map(syllables, said)) / len(said) - 15.59


@pytest.mark.parametrize("number", LISTED)
def test_a_rule_of_the_list_is_asked_or_named_as_not_asked(number):
    there = [rule.id for rule in RULES if re.fullmatch(number + r"([a-c]|-\w+)?", rule.id)]
    why_not = [why for id, why in FILE["not_asked"].items() if re.fullmatch(number + "[a-c]?", id)]
    assert there or why_not
    assert all(len(why.split()) >= 3 for why in why_not)


def test_every_rule_has_a_test_that_raises_it():
    tried = {case[0] for case in of_day.CASES} | {case[0] for case in of_school.CASES}
    tried |= {*of_day.WITH_A_WAX, *of_day.WITH_A_FLASK, *of_day.OF_A_FLASK, *of_day.BY_THE_CLOCK, *of_day.BY_A_NAME}
    tried |= {*of_school.ALWAYS_SAID, *of_school.WITH_METAL, *of_school.WITH_A_KILN}
    assert tried == set(rulebook().rules)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_is_said_in_short_sentences_and_promises_nothing(rule):
    for sentence in re.split(r"(?<=[.?!])\s+", rule.text):
        assert len(sentence.split()) <= 15, sentence
        assert sentence[0].isupper() and sentence.endswith(".")
    assert not re.search(r"\b(safe|safely|approved|complies|non-toxic|risk[- ]free)\b", rule.text, re.IGNORECASE)


VERBS = re.compile(
    "Add|Ask|Be|Carry|Check|Do|Fill|Give|Heat|Keep|Lead|Leave|Let|Lift|Look|Mind|Move|Never|Open|Pour|Put|Quench|Read|Set|Slow|"
    "Split|Stay|Stop|Switch|Tell|Throw|Tie|Touch|Use|Walk|Watch|Wear"
)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_begins_with_what_to_do(rule):
    assert VERBS.fullmatch(rule.text.split()[0])


def test_rules_and_handout_can_be_read_at_twelve():
    # Grade 6 is read at 11 to 12. Names of metals stand in the rules as one word of three syllables.
    rules = [re.sub(r"\{\w+\}", "sterling", rule.text) for rule in RULES]
    with override("en"):
        lines = [str(line.text) for _title, step in words.STEPS for line in step] + [
            str(one.text) for one in words.STOPS
        ]
        lines += [str(text) for *_rest, text in words.WEAR] + [str(one.text) for one in words.WRONG]
        lines += [str(words.TERMS), str(words.DISCLAIMER)]
    assert grade(" ".join(rules)) < 4 and grade(" ".join(lines)) < 4
    # One hard word weighs much in one short line: no rule alone is past grade 9.
    assert max((grade(text), text) for text in rules)[0] < 9
    assert grade("Ensure adequate ventilation prior to commencing exothermic investment operations.") > 15


@pytest.mark.parametrize(("word", "count"), [("smoke", 1), ("metal", 2), ("melted", 2), ("crucible", 3), ("flask", 1)])
def test_syllables_are_counted_as_they_are_spoken(word, count):
    assert syllables(word) == count


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_names_its_source_and_owns_up_to_memory(rule):
    assert rule.basis
    assert rule.status in {"published", "second hand", "memory", "practice", "judgement"}
    assert rule.status != "memory" or "memory" in rule.basis
    assert rule.status != "judgement" or "judgement" in rule.basis
    assert isinstance(rule.when, Asked) and isinstance(rule.level, Level)


def test_a_rule_or_a_limit_that_stands_twice_is_refused():
    with pytest.raises(ValueError, match="id stands twice"):
        rulebook_of(FILE | {"rules": [*FILE["rules"], FILE["rules"][0]]})
    again = {"name": "carry_most_kg", "value": 8, "source": "invented", "status": "memory"}
    with pytest.raises(ValueError, match="name stands twice"):
        rulebook_of(FILE | {"limits": [*FILE["limits"], again]})


STATUSES = {"published", "second hand", "memory", "practice", "judgement"}
UNIT = re.compile(
    "_(c|c_per_h|min|w|h|s|mm|ml|sprues|kg|ppm|mbar|pct|g_per_100g|g_per_ml|ml_per_ml|years|hands|figures|days|students_per_adult|"
    "mm2_per_s|mj_per_m3_k|w_per_m2_k|melts|waxes|readings)$"
)
LIMITS = list(rulebook().limits.values())


@pytest.mark.parametrize("limit", LIMITS, ids=lambda limit: limit.name)
def test_a_limit_ends_in_its_unit_and_has_a_source_and_its_worth(limit):
    assert UNIT.search(limit.name)
    assert limit.value > 0 and limit.source and limit.status in STATUSES
    assert limit.status != "memory" or "memory" in limit.source
    assert limit.status != "judgement" or "judgement" in limit.source


def names_asked_for():
    """The names in every call of `limit` in the code, in the causes of defects, and in the words of the rules."""
    for path in Path(FIXTURES.parent, "casting").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "limit":
                (asked,) = node.args
                chosen = (asked.body, asked.orelse) if isinstance(asked, ast.IfExp) else (asked,)
                yield from (one.value for one in chosen)
    yield from {rule.than for rule in cause_rules()} & set(rulebook().limits)
    for rule in RULES:
        yield from set(re.findall(r"\{(\w+)\}", rule.text)) & set(rule.limits)


def test_every_limit_is_used_and_every_name_that_is_asked_for_is_there():
    assert set(names_asked_for()) == set(rulebook().limits)


@pytest.mark.parametrize("path", sorted(Path(FIXTURES.parent, "casting/calc/cautions").glob("*.py")), ids=str)
def test_no_limit_stands_in_the_code_of_the_cautions(path):
    # 1 C is the whole degree of a band, 60 makes hours, 100 percent, 1000 kilograms.
    numbers = {node.value for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.Constant)}
    assert {one for one in numbers if isinstance(one, (int, float))} <= {0, 1, 60, 100, 1000}


def test_only_these_stops_can_never_be_cleared():
    assert {rule.id for rule in RULES if rule.level is not Level.SAY and not rule.clearable} == NEVER_CLEARED


GATES = [rule for rule in RULES if rule.level is Level.STOP and rule.when in {"kiln", "melt", "pour", "quench"}]


@pytest.mark.parametrize("rule", GATES, ids=lambda rule: rule.id)
def test_a_stop_of_the_day_itself_has_a_check_that_can_be_ticked(rule):
    assert rule.check.endswith(".") and len(rule.check.split()) <= 10
    assert not re.match(r"Do not|Never|Stop|No [a-z]+ until|When|If", rule.check) and "{" not in rule.check


def test_a_check_is_asked_on_the_day_not_before_it():
    assert not [rule.id for rule in RULES if rule.check and rule.when in {"set_up", "plan"}]


def test_signs_from_memory_say_so():
    # W028, W029, W041 and P007 were in no list at hand
    memory = {code for code, sign in FILE["signs"].items() if sign["status"] == "memory"}
    assert memory == {"W028", "W029", "W041", "P007"}
    assert all("memory" in FILE["signs"][code]["source"] for code in memory)
