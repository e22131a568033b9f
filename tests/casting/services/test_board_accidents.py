"""Accidents on the bench: the least is moved, who and when is kept, and each is undone."""

import json
from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from casting.models import BoardStep, DayChange, FlaskSize, Plan
from casting.models.errors import NotPlanned
from casting.selectors.board import Kept, last_step
from casting.selectors.day_file import day_values_of, is_outdated
from casting.services.board import bring_back, redo, take_step, take_step_later, undo
from casting.services.board_drafts import TooLate
from casting.services.board_moves import Move
from casting.services.flasks import fix_flask
from tests.casting_factories import handed_in


def latest(day):
    return Plan.objects.latest_of(day)


def home(day):
    return {wax["key"]: flask["label"] for flask in latest(day).file["flasks"] for wax in flask["waxes"]}


def spots(day):
    return {
        wax["key"]: (flask["label"], wax["x_mm"], wax["y_mm"], wax["turn_deg"])
        for flask in latest(day).file["flasks"]
        for wax in flask["waxes"]
    }


def do(day, by, **move):
    return take_step(day, Move(**move), revision=latest(day).revision, by=by)


def back(day, by):
    undo(day, revision=latest(day).revision, by=by)


def sizes(day):
    return {row["key"]: row["count"] for row in day_values_of(day)["flask_sizes"]}


def test_a_late_wax_finds_room_and_nobody_moves(board, student, teacher):
    before = spots(board)
    late = handed_in(board, student).tag
    step, said = do(board, teacher, do="place")
    assert (step.did, step.by, step.figures, said) == ("place", teacher, {"tags": late}, "")
    assert late in home(board) and {tag: spots(board)[tag] for tag in before} == before
    assert not is_outdated(latest(board))
    back(board, teacher)
    assert spots(board) == before


def test_with_nobody_waiting_no_room_is_looked_for(board, teacher):
    with pytest.raises(NotPlanned, match="takes a wax that waits"):
        do(board, teacher, do="place")
    assert latest(board).revision == 1


def test_a_broken_wax_is_left_out_until_it_is_undone_whatever_is_brought_back(board, teacher):
    tag, began = min(home(board)), latest(board)
    do(board, teacher, do="broke", tag=tag)
    assert tag not in home(board) and Kept.of(last_step(board)).broken == {tag}
    bring_back(board, 1, revision=2, by=teacher)
    assert tag not in home(board) and Kept.of(last_step(board)).broken == {tag}
    do(board, teacher, do="let_go")
    assert Kept.of(last_step(board)).out == {tag}
    for _nth in range(3):
        back(board, teacher)
    assert latest(board).plan_file == began.plan_file and not Kept.of(last_step(board)).broken


def test_a_withdrawn_wax_leaves_the_day_and_comes_back_with_an_undo(board, teacher):
    tag, began = min(home(board)), latest(board)
    step, _said = do(board, teacher, do="withdraw", tag=tag)
    wax = board.waxes.get(tag=tag)
    assert wax.withdrawn_at and wax.changes.order_by("pk").last().by_person == teacher
    assert step.did == "withdraw" and tag not in home(board) and not is_outdated(latest(board))
    back(board, teacher)
    assert board.waxes.get(tag=tag).withdrawn_at is None
    assert (latest(board).day_file, latest(board).plan_file) == (began.day_file, began.plan_file)
    redo(board, revision=latest(board).revision, by=teacher)
    assert board.waxes.get(tag=tag).withdrawn_at is not None and tag not in home(board)


def test_a_leaking_flask_is_one_fewer_of_its_size_and_the_others_stay(board, teacher):
    before, counts = spots(board), sizes(board)
    flask = latest(board).file["flasks"][0]
    step, _said = do(board, teacher, do="leak", label=flask["label"])
    assert (step.did, step.figures) == ("leak", {"label": flask["label"], "size": flask["size"]})
    assert sizes(board) == counts | {flask["size"]: counts[flask["size"]] - 1}
    inside = {wax["key"] for wax in flask["waxes"]}
    assert {tag: spots(board)[tag] for tag in before.keys() - inside} == {
        tag: before[tag] for tag in before.keys() - inside
    }
    assert inside <= home(board).keys() and not is_outdated(latest(board))
    # An earlier revision brings its waxes back, but mends no flask.
    bring_back(board, 1, revision=2, by=teacher)
    assert sizes(board)[flask["size"]] == counts[flask["size"]] - 1
    back(board, teacher)
    back(board, teacher)
    assert sizes(board) == counts and spots(board) == before


def test_the_last_flask_of_a_size_leaks_and_its_waxes_find_room_elsewhere(board, teacher):
    flask = latest(board).file["flasks"][0]
    size, used = flask["size"], [one["size"] for one in latest(board).file["flasks"]]
    inside = {wax["key"] for wax in flask["waxes"]}
    FlaskSize.objects.filter(key=size).update(count=used.count(size))
    _step, said = do(board, teacher, do="leak", label=flask["label"])
    now = [one["size"] for one in latest(board).file["flasks"]]
    assert now.count(size) < used.count(size) and sizes(board)[size] == used.count(size) - 1
    assert inside <= home(board).keys() or "No room was found" in said


def test_a_spilled_bowl_is_kept_summed_beside_the_bowls_and_undone(board, teacher):
    began, flask = latest(board), latest(board).file["flasks"][0]["label"]
    bowl = next(one for one in began.file["bowls"] if flask in one["flasks"])
    step, said = do(board, teacher, do="spill", label=flask)
    assert (step.did, step.figures["tags"], said) == ("spill", ", ".join(bowl["flasks"]), "")
    spill, now = json.loads(latest(board).day_file)["spilled"][0], json.loads(latest(board).day_file)["now"]
    assert (spill["flasks"], spill["powder_g"], spill["water_g"]) == (
        bowl["flasks"], bowl["powder_g"], bowl["water_g"],
    )  # fmt: skip
    assert spill["at"] <= now
    totals = latest(board).file["totals"]
    assert (totals["spilled_powder_g"], totals["spilled_water_g"]) == (bowl["powder_g"], bowl["water_g"])
    assert totals["powder_g"] == began.file["totals"]["powder_g"] and not is_outdated(latest(board))
    do(board, teacher, do="spill", label=flask)
    assert latest(board).file["totals"]["spilled_powder_g"] == 2 * bowl["powder_g"]
    bring_back(board, 1, revision=3, by=teacher)
    assert latest(board).file["totals"]["spilled_powder_g"] == 2 * bowl["powder_g"], "nothing brought back mends it"
    for _nth in range(3):
        back(board, teacher)
    assert (latest(board).day_file, latest(board).plan_file) == (began.day_file, began.plan_file)


def test_a_bowl_that_spills_too_late_for_the_first_pour_is_noted_together_with_a_later_one(board, teacher, monkeypatch):
    """Five minutes after a bowl was to be mixed, its plan would keep a mix that is past: it is refused as any other."""
    first = min(step["at"] for step in latest(board).file["steps"] if step["do"] == "mix")
    now = datetime.fromisoformat(first) + timedelta(minutes=5)
    monkeypatch.setattr(timezone, "now", lambda: now)
    with pytest.raises(TooLate, match="The earliest first pour is") as refused:
        do(board, teacher, do="spill", label="A")
    assert latest(board).revision == 1 and BoardStep.objects.filter(did="spill").count() == 0
    _step, said = take_step_later(board, Move("spill", label="A"), revision=1, by=teacher)
    planned_at = board.pour_at
    board.refresh_from_db()
    # What was to be mixed five minutes ago is mixed now, and ten minutes are left to go on: all comes 15 minutes later,
    # at a minute that ends in 0 or 5.
    assert board.pour_at == refused.value.later and board.pour_at.minute % 5 == 0
    assert timedelta(minutes=15) <= board.pour_at - planned_at < timedelta(minutes=20)
    change = DayChange.objects.latest("pk")
    assert change.by_person == teacher and said.startswith("The first pour is now")
    assert change.before | {"pour_at": ""} == change.after | {"pour_at": ""}
    assert [one["pour_at"] for one in (change.before, change.after)] == [
        at.astimezone(UTC).isoformat(timespec="minutes") for at in (planned_at, board.pour_at)
    ]
    todo = [step for step in latest(board).file["steps"] if step["do"] not in ("hand_in_closes", "mount")]
    assert all(datetime.fromisoformat(step["at"]) >= now for step in todo) and todo[0]["do"] == "mix"
    assert latest(board).file["totals"]["spilled_powder_g"] > 0 and not is_outdated(latest(board))
    monkeypatch.setattr(timezone, "now", lambda: now + timedelta(minutes=9))
    do(board, teacher, do="out", tag=latest(board).file["flasks"][0]["waxes"][0]["key"])
    back(board, teacher)
    back(board, teacher)
    assert "spilled_powder_g" not in latest(board).file["totals"]


def test_of_a_poured_board_or_a_flask_without_a_bowl_nothing_spills(board, teacher):
    with pytest.raises(NotPlanned, match="The board has no flask Z9"):
        do(board, teacher, do="spill", label="Z9")
    fix_flask(board, "A", "invested", by=teacher)
    with pytest.raises(NotPlanned, match="is on the bench and stays as it is"):
        do(board, teacher, do="spill", label="A")


def test_a_flask_on_the_bench_stays(board, teacher):
    fix_flask(board, "A", "invested", by=teacher)
    tag = next(tag for tag, label in home(board).items() if label == "A")
    before = BoardStep.objects.count()
    for move in ({"do": "leak", "label": "A"}, {"do": "broke", "tag": tag}, {"do": "withdraw", "tag": tag}):
        with pytest.raises(NotPlanned, match="is on the bench and stays as it is"):
            do(board, teacher, **move)
    assert BoardStep.objects.count() == before and board.waxes.get(tag=tag).withdrawn_at is None
