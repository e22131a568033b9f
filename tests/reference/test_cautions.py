"""Every row of the lists of cautions, checks and limits is asked or printed, or named with the reason why not."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import pytest

from casting.calc.cautions import bench as bench
from casting.calc.cautions import materials as day
from casting.calc.cautions import school_record as safety
from casting.calc.values.enums import Level
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import FIXTURES

HERE = Path(__file__).parent
RULES = list(rulebook().values())
FILE = json.loads((FIXTURES / "cautions.json").read_text("utf-8"))
LIMITS = json.loads((FIXTURES / "safety_limits.json").read_text("utf-8"))
NUMBER = re.compile(r"\d+(?:\.\d+)?")


def table(name):
    with (HERE / f"{name}.csv").open(encoding="utf-8", newline="") as rows:
        return list(csv.DictReader(rows))


CAUTIONS, CHECKS = table("cautions"), table("input_checks")
SIDES = [(row["id"], level) for row in CHECKS for level in (Level.WARN, Level.STOP) if row[level.lower()] != "none"]
PRINTED = [row for row in table("safety_limits") if not row["id"].startswith("SL-SIGN")]


@pytest.mark.parametrize("row", CAUTIONS, ids=[row["id"] for row in CAUTIONS])
def test_a_caution_is_raised_at_its_level_or_named_as_not_asked(row):
    there = [rule for rule in RULES if rule.id == row["id"] or re.fullmatch(row["id"] + r"-(hot|metal)", rule.id)]
    assert bool(there) != (row["id"] in FILE["not_asked"])
    for rule in there:
        assert rule.level == row["level"]
        assert rule.clearable == row["overridable"].startswith("yes")
        assert not row["signs"] or [code for code, _meaning in rule.signs] == row["signs"].split()
        for published in set(re.findall(r"1910\.\d+|EN \d+|REACH|Z358\.1|BS 4163|2004/37", row["basis"])):
            assert published in rule.basis


@pytest.mark.parametrize(("id", "level"), SIDES)
def test_each_side_of_a_check_is_asked_or_named_as_not_asked(id, level):
    there = [rule.id for rule in RULES if re.fullmatch(rf"{id}(-\w+)?", rule.id) and rule.level is level]
    why_not = [key for key in (id, f"{id}-{level.lower()}") if key in FILE["not_asked"]]
    assert bool(there) != bool(why_not)


@pytest.mark.parametrize(
    ("id", "figures"),
    [
        ("N-01", (bench.TOP_WARN_C,)),
        ("N-02", (bench.TOP_LOW_WARN_C, bench.TOP_LOW_STOP_C, bench.TOP_HOLD_MIN / 60)),
        ("N-04", (bench.COLD_FLASK_C,)),
        ("N-08", (bench.CRUCIBLE_LOW_PCT,)),
        ("N-09", (bench.CARRY_WARN_KG, bench.CARRY_STOP_KG)),
        ("N-11", (*day.WATER_WARN, *day.WATER_STOP)),
        ("N-12", (day.SET_WARN_MIN / 60, day.SET_STOP_MIN / 60)),
        ("N-13", (1 / bench.COVER_SHARE, bench.WALL_MM, bench.COVER_STOP_MM)),
        ("N-14", (bench.RAMP_WARN, bench.RAMP_WIDE_WARN, bench.RAMP_STOP, bench.EARLY_C, bench.WIDE_TO_C)),
        ("N-15", (day.SUPERHEAT_WARN_C, day.ZINC_SUPERHEAT_WARN_C, day.SUPERHEAT_STOP_C, day.GYPSUM_POUR_MAX_C)),
        ("N-22", (safety.STUDENTS_WARN, safety.STUDENTS_STOP)),
        ("N-23", (safety.ALONE_STOP_H,)),
        ("N-25", (bench.KILN_GAP_MM,)),
    ],
)
def test_a_limit_of_the_program_is_the_list_s(id, figures):
    (row,) = [row for row in CHECKS if row["id"] == id]
    listed = {float(number) for number in NUMBER.findall(f"{row['warn']} {row['stop']} {row['why']}")}
    assert {float(figure) for figure in figures} <= listed


@pytest.mark.parametrize("row", PRINTED, ids=[row["id"] for row in PRINTED])
def test_a_limit_is_printed_as_it_is_listed_or_named_as_not_printed(row):
    there = [limit for limit in LIMITS["limits"] if limit["id"] == row["id"]]
    assert bool(there) != (row["id"] in LIMITS["not_printed"])
    for limit in there:
        assert NUMBER.findall(limit["value"]) == NUMBER.findall(row["value"])
        assert (limit["status"], limit["source"]) == (row["status"], row["source"])


def test_a_reason_is_a_sentence_about_a_row_that_there_is():
    listed = {row["id"] for row in [*CAUTIONS, *CHECKS, *PRINTED]}
    for id, why in [*FILE["not_asked"].items(), *LIMITS["not_printed"].items()]:
        assert re.sub(r"-(warn|stop)$", "", id) in listed
        assert len(why.split()) >= 3


def test_signs_mean_what_the_list_says():
    meant = {row["subject"].removeprefix("sign "): row["value"] for row in table("safety_limits")}
    assert {code: sign["meaning"] for code, sign in FILE["signs"].items()}.items() <= meant.items()


DOUBTS = (
    *("1910.1024", "EH40", "REACH entries 23 and 63", "NFPA 30", "MHSWR", "W028", "W029", "W041", "P007", "M026"),
    *("750", "vacuum test", "damp storage", "No licence", "Z358.1", "BS 4163", "EN ISO 11612"),
)
"""From memory, common practice or second hand: section 8 of the notes that the lists came with."""


@pytest.mark.parametrize("doubt", DOUBTS)
def test_a_doubt_of_the_notes_stays_before_the_teacher(doubt):
    assert doubt in " ".join(LIMITS["doubts"])
