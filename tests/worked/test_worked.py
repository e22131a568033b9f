"""Whole days worked by hand from the rules of the plan file, line by line, against the program's plans.

Each folder holds the day (`day.json`), the working as plain arithmetic (`working.txt`, times in minutes from
the first pour) and `expected.json`: places in the plan or the day, the figure that a person reads there, and
the name it has in the working. There may also be what cautions say, check rows that the working meets, and the
same figures of the day with something changed. What is printed of it has its own test beside this one.
"""

from __future__ import annotations

import json
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from casting.calc.plan_day import plan_day
from casting.dayfile import read, write
from tests.contract import breaches
from tests.reference.rows import rows_of
from tests.reference.values import shelf
from tests.worked.arithmetic import NotArithmetic, work_out

HERE = Path(__file__).parent
DAYS = sorted(path.parent.name for path in HERE.glob("*/day.json"))


def text_of(day: str, name: str) -> str:
    return (HERE / day / name).read_text(encoding="utf-8")


@cache
def plan_of(day: str, changed: str = "") -> dict[str, Any]:
    """The plan of a day, or of the day with what `expected.json` changes under that heading."""
    change = json.loads(text_of(day, "expected.json"))["changed"][changed]["day"] if changed else {}
    given = read(json.dumps(json.loads(text_of(day, "day.json")) | change))
    return json.loads(write(plan_day(given.day), given))


@cache
def working_of(day: str) -> dict[str, float]:
    return work_out(text_of(day, "working.txt"))


def expected_of(part: str) -> list[tuple[str, str, Any, str]]:
    """(day, place, figure, name in the working) of every line of `expected.json` under that heading."""
    return [
        (day, place, *line)
        for day in DAYS
        for place, line in json.loads(text_of(day, "expected.json")).get(part, {}).items()
    ]


def changed_days() -> list[tuple[str, str, str, Any, str]]:
    """(day, what is changed, place, figure, name in the working) of every line under `changed`."""
    return [
        (day, changed, place, *line)
        for day in DAYS
        for changed, what in json.loads(text_of(day, "expected.json")).get("changed", {}).items()
        for place, line in what["plan"].items()
    ]


def said_in(part: str) -> list[tuple[str, str, Any]]:
    """(day, heading, what stands under it) of a part that has no figures of the plan."""
    return [(day, *line) for day in DAYS for line in json.loads(text_of(day, "expected.json")).get(part, {}).items()]


def is_named(item: dict[str, Any], token: str) -> bool:
    """Whether an item of a list is the one of that label, key, kiln, or `do:flask or kiln`."""
    do, _, of = token.partition(":")
    if of:
        return item.get("do") == do and (of in item["flasks"] or of == item["kiln"])
    return token in (item.get("label"), item.get("key"), item.get("kiln")) or (
        token == item.get("do") and not item["flasks"]
    )


def at_place(file: Any, place: str) -> Any:
    """What stands at a place such as `flasks.A.charge_g` or `steps.pour:A.until`."""
    for token in place.split("."):
        if isinstance(file, dict):
            file = file[token]
        elif token.isdecimal():
            file = file[int(token)]
        else:
            (file,) = [item for item in file if is_named(item, token)]
    return file


def in_minutes(day: str, figure: Any, changed: str = "") -> Any:
    """A time as minutes from the day's first pour; any other figure as it is."""
    if not isinstance(figure, str):
        return figure
    first = datetime.fromisoformat(at_place(plan_of(day, changed), "steps.pour:A.at"))
    return (datetime.fromisoformat(figure) - first).total_seconds() / 60


@pytest.mark.parametrize(("day", "place", "figure", "name"), expected_of("plan"))
def test_the_plan_has_the_figure_worked_by_hand(day: str, place: str, figure: Any, name: str):
    assert at_place(plan_of(day), place) == figure
    assert in_minutes(day, figure) == pytest.approx(working_of(day)[name], abs=1e-9)


@pytest.mark.parametrize(("day", "place", "figure", "name"), expected_of("day"))
def test_the_day_holds_what_was_measured(day: str, place: str, figure: float, name: str):
    assert at_place(json.loads(text_of(day, "day.json")), place) == figure
    assert figure == pytest.approx(working_of(day)[name], abs=1e-9)


@pytest.mark.parametrize(("day", "place", "words", "why"), expected_of("words"))
def test_the_plan_says_what_follows_from_the_rules(day: str, place: str, words: Any, why: str):
    assert at_place(plan_of(day), place) == words, why


@pytest.mark.parametrize(("day", "changed", "place", "figure", "name"), changed_days())
def test_a_changed_day_has_the_figure_worked_by_hand(day: str, changed: str, place: str, figure: Any, name: str):
    assert at_place(plan_of(day, changed), place) == figure
    assert in_minutes(day, figure, changed) == pytest.approx(working_of(day)[name], abs=1e-9)


@pytest.mark.parametrize(("day", "caution", "words"), said_in("cautions"))
def test_a_caution_says_what_was_worked_by_hand(day: str, caution: str, words: list[str]):
    said = sorted(one["text"] for one in plan_of(day)["cautions"] if one["id"] == caution)
    assert len(said) == len(words)
    assert all(part in text for part, text in zip(words, said, strict=True)), said


@pytest.mark.parametrize(("day", "row", "name"), said_in("reference"))
def test_the_working_meets_the_check_row(day: str, row: str, name: str):
    file, _, key = row.partition(".")
    (found,) = [one for one in rows_of(file) if one.id == key]
    found.check(working_of(day)[name])


@pytest.mark.parametrize("day", DAYS)
def test_the_plan_keeps_the_contract(day: str):
    given = json.loads(text_of(day, "day.json"))
    plain = {"piece": 1, "owner": "school", "sprue_g": 0, "sprue_pattern": None}
    waxes = [plain | wax for wax in given["waxes"]]
    whole = given | {"rules": shelf()["rules"] | given.get("rules", {}), "waxes": waxes}
    assert breaches(whole, plan_of(day)) == []


@pytest.mark.parametrize("day", DAYS)
def test_every_wax_stands_in_the_flask_it_must(day: str):
    must = json.loads(text_of(day, "expected.json"))["together"]
    assert {f["label"]: sorted(w["key"] for w in f["waxes"]) for f in plan_of(day)["flasks"]} == must


@pytest.mark.parametrize("day", DAYS)
def test_mixes_set_before_the_kiln_goes_on(day: str):
    # set_min 120 and working_min 9.5 of the day; a mix takes at most 0.85 of the working time
    plan = plan_of(day)
    for flask in plan["flasks"]:
        mix, load = (at_place(plan, f"steps.{do}:{flask['label']}") for do in ("mix", "load"))
        on = at_place(plan, f"firings.{flask['kiln']}.on_at")
        mixed, poured, loaded, kiln_on = (in_minutes(day, t) for t in (mix["at"], mix["until"], load["at"], on))
        assert poured - mixed <= 0.85 * 9.5
        assert poured + 120 <= loaded <= kiln_on


@pytest.mark.parametrize("day", DAYS)
def test_hand_in_closes_when_the_waxes_are_mounted(day: str):
    plan = plan_of(day)
    mixes = [step for step in plan["steps"] if step["do"] == "mix"]
    closes = in_minutes(day, at_place(plan, "steps.hand_in_closes.at"))
    assert min(in_minutes(day, mix["at"]) for mix in mixes) - closes == working_of(day)["mount"]


@pytest.mark.parametrize("line", ["a = b", "a = __import__('os')", "a = 1\na = 2", "a = 'x'", "a = [1]", "a = 1 < 2"])
def test_a_line_that_is_no_arithmetic_is_refused(line: str):
    with pytest.raises(NotArithmetic):
        work_out(line)
