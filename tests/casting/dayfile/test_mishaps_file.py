import json

import pytest

from casting.calc.values.mishap import ANSWERS, Mishap
from casting.dayfile.mishaps_file import steps_at_once
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import FIXTURES

STATUSES = {limit.status for limit in rulebook().limits.values()}


def test_every_step_is_read_once_with_its_source():
    rows = json.loads((FIXTURES / "mishaps.json").read_text("utf-8"))["steps"]
    assert [step.id for step in steps_at_once()] == [row["id"] for row in rows]
    assert len({step.id for step in steps_at_once()}) == len(rows)
    assert all(step.source and step.status in STATUSES for step in steps_at_once())


@pytest.mark.parametrize("kind", Mishap)
def test_every_mishap_has_answers_and_something_to_do_at_once(kind):
    """After a power cut the kiln room's own steps are said."""
    assert len(ANSWERS[kind]) >= 2
    assert kind is Mishap.POWER or any(kind in step.kinds for step in steps_at_once())
