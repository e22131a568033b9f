"""Every row of the lists of cautions, checks and limits is asked or printed, or named with the reason why not."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import pytest

from casting.calc.values.enums import Level
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import FIXTURES
from tests.reference.rows import CHECKED

HERE = Path(__file__).parent
RULES = list(rulebook().rules.values())
FILE = json.loads((FIXTURES / "cautions.json").read_text("utf-8"))
LIMITS = json.loads((FIXTURES / "safety_limits.json").read_text("utf-8"))
STRICTER = {"R-12"}
"""Rules that the list lets a teacher clear, and the program does not: the wax is left out all the same."""
NUMBER = re.compile(r"\d+(?:\.\d+)?")


def table(name):
    with (HERE / f"{name}.csv").open(encoding="utf-8", newline="") as rows:
        return list(csv.DictReader(rows))


CAUTIONS, CHECKS = table("cautions"), table("input_checks")
ASKED = {
    row["id"]: [rule for rule in RULES if re.fullmatch(row["id"] + r"(-(hot|metal))?", rule.id)] for row in CAUTIONS
}
"""The rules that stand for each row of the list of cautions."""
CHECKED["cautions"] |= {id for id, rules in ASKED.items() if rules}
SIDES = [(row["id"], level) for row in CHECKS for level in (Level.WARN, Level.STOP) if row[level.lower()] != "none"]
PRINTED = [row for row in table("safety_limits") if not row["id"].startswith("SL-SIGN")]


@pytest.mark.parametrize("row", CAUTIONS, ids=[row["id"] for row in CAUTIONS])
def test_a_caution_is_raised_at_its_level_or_named_as_not_asked(row):
    there = ASKED[row["id"]]
    assert bool(there) != (row["id"] in FILE["not_asked"])
    for rule in there:
        assert rule.level == row["level"]
        assert rule.clearable == (row["overridable"].startswith("yes") and row["id"] not in STRICTER)
        assert not row["signs"] or [code for code, _meaning in rule.signs] == row["signs"].split()
        for published in set(re.findall(r"1910\.\d+|EN \d+|REACH|Z358\.1|BS 4163|2004/37", row["basis"])):
            assert published in rule.basis


def asked_at(id, level):
    """The rules that ask a side of a check."""
    return [rule.id for rule in RULES if re.fullmatch(rf"{id}(-\w+)?", rule.id) and rule.level is level]


@pytest.mark.parametrize(("id", "level"), SIDES)
def test_each_side_of_a_check_is_asked_or_named_as_not_asked(id, level):
    there = asked_at(id, level)
    why_not = [key for key in (id, f"{id}-{level.lower()}") if key in FILE["not_asked"]]
    assert bool(there) != bool(why_not)


LIMITS_OF = (
    ("N-01", ("firing_top_high_c",)),
    ("N-02", ("firing_top_low_c", "firing_top_least_c")),
    ("N-04", ("flask_coldest_c",)),
    ("N-07", ("quench_least_min", "quench_usual_min")),
    ("N-08", ("crucible_least_pct",)),
    ("N-09", ("carry_with_care_kg", "carry_most_kg")),
    ("N-11", ("water_usual_from_g_per_100g", "water_usual_to_g_per_100g")),
    ("N-11", ("water_least_g_per_100g", "water_most_g_per_100g")),
    ("N-13", ("wall_least_mm", "cover_least_mm")),
    ("N-14", ("ramp_early_c_per_h", "ramp_wide_c_per_h", "ramp_most_c_per_h")),
    ("N-14", ("ramp_early_below_c", "ramp_wide_to_c")),
    ("N-15", ("superheat_high_c", "superheat_high_zinc_c", "superheat_most_c", "gypsum_pour_most_c")),
    ("N-22", ("advised_students_per_adult", "most_students_per_adult")),
    ("N-23", ("kiln_alone_h",)),
    ("N-25", ("kiln_gap_mm",)),
)
"""The rows whose figures are limits of the program, in the same unit."""
IN_OTHER_UNITS = ("N-02", "N-12", "N-13")
"""Those that the program keeps in minutes, or as a share in percent."""
NO_LIMIT = ("N-10",)
"""Asked by the powder's own working time, which is no limit of the program."""
CHECKED["input_checks"] |= {id for id, _names in LIMITS_OF} | {*IN_OTHER_UNITS, *NO_LIMIT}


@pytest.mark.parametrize("id", sorted(CHECKED["input_checks"]))
def test_a_check_that_counts_as_checked_is_asked_on_one_side_at_least(id):
    assert asked_at(id, Level.WARN) or asked_at(id, Level.STOP)


@pytest.mark.parametrize(("id", "names"), LIMITS_OF)
def test_a_limit_of_the_program_is_the_list_s(id, names):
    assert {float(rulebook().limit(name)) for name in names} <= listed(id)


def test_limits_that_the_list_has_in_another_unit_are_the_same():
    # The list gives hours and the part of the width; the rulebook minutes and percent.
    assert rulebook().limit("firing_top_hold_min") / 60 in listed("N-02")
    assert {rulebook().limit(name) / 60 for name in ("rest_usual_min", "rest_least_min")} <= listed("N-12")
    assert 100 / rulebook().limit("cover_least_pct") in listed("N-13")


@pytest.mark.parametrize(
    ("id", "name"), [("SL-WORK-008", "eyewash_walk_s"), ("SL-WORK-016", "most_students_per_adult")]
)
def test_a_limit_that_the_teacher_reads_in_the_table_is_the_one_that_raises_the_caution(id, name):
    (row,) = [row for row in LIMITS["limits"] if row["id"] == id]
    assert float(row["value"]) == rulebook().limit(name)


def listed(id):
    """The figures in the row of a check."""
    (row,) = [row for row in CHECKS if row["id"] == id]
    return {float(number) for number in NUMBER.findall(f"{row['warn']} {row['stop']} {row['why']}")}


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
