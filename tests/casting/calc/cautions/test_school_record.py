"""The school's record: what is still to record, and every question under its heading."""

from dataclasses import replace

import pytest

from casting.calc.cautions.school_record import FACTS, Fact, SafetyRecord, under_headings, unrecorded_facts
from tests.casting.calc.cautions.test_school_rules import QUIET


@pytest.mark.parametrize("fact", FACTS)
def test_each_fact_left_out_is_one_to_settle(fact):
    base = replace(QUIET, melter="torch", hours_unattended=8)
    assert unrecorded_facts(base) == ()
    assert unrecorded_facts(replace(base, **{fact: None})) == (fact,)


def test_the_torch_s_facts_are_not_asked_of_a_furnace():
    furnace = replace(QUIET, melter="electric", fuel=None, oxygen=None, leak_test=None)
    assert unrecorded_facts(furnace) == ()
    assert unrecorded_facts(SafetyRecord(eyewash=False)).count("eyewash_s") == 0


def test_a_kiln_that_is_never_alone_asks_for_nobody_on_call():
    alone = {"on_call": None, "clear_of_kiln": None, "top_heat_watched": None}
    assert unrecorded_facts(replace(QUIET, **alone)) == ()
    for hours in (8, None):
        assert set(alone) <= set(unrecorded_facts(replace(QUIET, hours_unattended=hours, **alone)))


def test_a_fact_in_the_middle_of_the_list_stays_under_its_heading():
    facts = list(FACTS.values())
    before = under_headings(facts)
    facts.insert(3, Fact("sharps", "a box for blades", "Help", "Is there a box for blades?"))
    after = under_headings(facts)
    assert "sharps" in after["Help"]
    assert {heading: tuple(name for name in names if name != "sharps") for heading, names in after.items()} == before


def test_every_question_stands_under_one_heading():
    asked = [name for names in under_headings(FACTS.values()).values() for name in names]
    # The class of the day gives the number of students, the school its height.
    assert sorted([*asked, "students", "elevation_m"]) == sorted(FACTS)


@pytest.mark.parametrize("fact", FACTS.values(), ids=list(FACTS))
def test_a_fact_has_a_name_for_a_caution_and_both_or_neither_of_heading_and_question(fact):
    assert fact.short and bool(fact.heading) == bool(fact.question)
