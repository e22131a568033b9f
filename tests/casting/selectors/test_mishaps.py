"""What a mishap does to the pours to come, and that a plan made again does not wait for a flask that is lost."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import Flask, FlaskMishap
from casting.selectors.account.flasks import planned_flask
from casting.selectors.day_file import day_values_of
from casting.selectors.mishaps import mishaps_of, not_before, not_to_pour
from casting.services.flasks import fix_flask, note_kiln
from casting.services.running.mishaps import Met, note_mishap
from tests.casting.planned import make_plan

NOON = dt.datetime(2027, 5, 8, 12, tzinfo=dt.UTC)


def met(label, kind, left, at=NOON):
    return FlaskMishap(label=label, kind=kind, left=left, at=at)


def test_a_flask_that_is_cracked_or_fell_too_far_is_not_poured_and_one_that_is_poured_is():
    mishaps = [met("A", "cracked", "unpoured"), met("B", "power", "cold"), met("C", "power", "hot")]
    mishaps += [met("D", "late", "late_10"), met("E", "cracked", "unpoured")]
    states = {"A": "invested", "B": "invested", "C": "invested", "D": "invested", "E": Flask.State.POURED}
    assert not_to_pour(mishaps, states) == {"A", "B"}


@pytest.mark.parametrize(
    ("planned_min", "left", "waits_min"),
    [(30, "late_10", 40), (30, "late_40", 70), (-5, "late_20", 20)],
    ids=["so much later than planned", "40 min", "its time was over: so much later than it was noted"],
)
def test_a_late_flask_comes_so_much_later(planned_min, left, waits_min):
    planned = {"A": NOON + dt.timedelta(minutes=planned_min)}
    found = not_before([met("A", "late", left), met("B", "late", left), met("A", "power", "hot")], planned)
    assert found == {"A": NOON + dt.timedelta(minutes=waits_min)}


def test_the_day_file_has_it_among_what_is_done_once_its_kiln_is_on_and_keeps_its_waxes(planned, teacher):
    """Before that, a poured flask would say that its kiln has been on."""
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    note_mishap(planned, Met("cracked", ("A",), "unpoured", timezone.now()), by=teacher)
    assert "poured" not in day_values_of(planned)
    note_kiln(planned, planned.plans.get().file["firings"][0]["kiln"], on=True, by=teacher)
    values = day_values_of(planned)
    assert values["poured"] == values["fixed"] == ["A"] and len(values["waxes"]) == 3
    assert [one.label for one in mishaps_of(planned)] == ["A"]


def test_a_plan_made_again_keeps_the_lost_flask_for_the_account_and_pours_the_others(board, teacher, monkeypatch):
    plan = board.plans.get()
    rows = sorted(plan.file["flasks"], key=lambda row: row["out_at"])
    for row in rows:
        fix_flask(board, row["label"], Flask.State.INVESTED, by=teacher)
    on_at = dt.datetime.fromisoformat(plan.file["firings"][0]["on_at"])
    monkeypatch.setattr(timezone, "now", lambda: on_at)
    note_kiln(board, plan.file["firings"][0]["kiln"], on=True, by=teacher)
    lost = rows[0]["label"]
    note_mishap(board, Met("cracked", (lost,), "unpoured"), by=teacher)
    again = make_plan(board, by=teacher)
    by_label = {row["label"]: row for row in again.file["flasks"]}
    assert {wax["key"] for wax in by_label[lost]["waxes"]} == {wax["key"] for wax in rows[0]["waxes"]}
    coming = {label for step in again.file["steps"] if step["do"] == "pour" for label in step["flasks"]}
    assert lost not in {label for label in coming if by_label[label]["out_at"] > by_label[rows[1]["label"]]["out_at"]}
    assert by_label[rows[1]["label"]]["out_at"] <= rows[1]["out_at"]
    assert planned_flask(board, lost) is not None
