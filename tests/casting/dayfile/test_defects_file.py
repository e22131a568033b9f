import json

import pytest

from casting.calc.values.defect import Defect, Sense
from casting.dayfile.defects_file import cause_rules
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import FIXTURES

UNITS = {"c", "min", "g", "mbar", "pct", "mm", "100g", "h", "resin"}
STATUSES = {limit.status for limit in rulebook().limits.values()}


def test_every_cause_is_read_once():
    rows = json.loads((FIXTURES / "defects.json").read_text("utf-8"))["causes"]
    assert [rule.id for rule in cause_rules()] == [row["id"] for row in rows]
    assert len({rule.id for rule in cause_rules()}) == len(rows)


@pytest.mark.parametrize("rule", cause_rules(), ids=lambda rule: rule.id)
def test_a_cause_has_a_source_a_unit_and_something_to_be_held_against(rule):
    assert rule.source and rule.status in STATUSES
    assert rule.fact.split("_")[-1] in UNITS
    assert (rule.than is None) == (rule.sense is Sense.PRESENT)
    if rule.than:
        assert rule.than in rulebook().limits or rule.than.split("_")[-1] == rule.fact.split("_")[-1]


@pytest.mark.parametrize("kind", Defect)
def test_every_defect_has_causes(kind):
    assert len([rule for rule in cause_rules() if kind in rule.kinds]) >= 3
