"""Every refusal of the contract: the place it names, one line, exit code 2, nothing printed."""

from __future__ import annotations

import json

import pytest

from casting import solve
from casting.calc.values.errors import Refused
from casting.dayfile import read
from tests.days.example_file import GONE, WAX, changed, example

SEGMENT = {"ramp_c_per_h": 100, "to_c": 732, "hold_min": 60}
TREE = {"key": "102x152", "diameter_mm": 101.6, "height_mm": 152.4, "count": 1, "mount": "tree"}
HOLED = {"key": "64x102", "diameter_mm": 63.5, "height_mm": 101.6, "count": 1, "wall": "perforated"}

# What to put where, and the place that must be named; the limits are those of casting/PLAN_FILE.md.
ONE_CHANGE = [
    # the file as a whole
    ("format", "casting-day/2", "format"),
    ("format", GONE, "format"),
    ("timezone", "America/Nowhere", "timezone"),
    ("timezone", "../../etc/passwd", "timezone"),
    ("timezone", GONE, "timezone"),
    ("pour_at", GONE, "pour_at"),
    ("pour_at", "2027-03-14 10:00", "pour_at"),
    ("pour_at", "2027-03-14T10:00:30", "pour_at"),
    ("pour_at", "2027-03-14T10:00:30-06:00", "pour_at"),
    ("pour_at", "2027-03-14T10:00:60", "pour_at"),
    ("pour_at", "2027-03-14T10:00:00.000", "pour_at"),
    ("pour_at", "2027-02-29T10:00", "pour_at"),
    ("pour_at", "2027-03-14T25:00", "pour_at"),
    ("pour_at", "2027-03-14T24:00", "pour_at"),
    ("pour_at", "2027-03-14T10:00+25:00", "pour_at"),
    ("pour_at", "2027-03-14T02:30", "pour_at"),
    ("pour_at", "2027-11-07T01:30", "pour_at"),
    ("pour_at", "0001-01-01T00:00", "pour_at"),
    ("pour_at", 20270314, "pour_at"),
    ("elevation_m", "high", "elevation_m"),
    ("elevation_m", 20000, "elevation_m"),
    ("hour", {}, "hour"),
    ("waxes", GONE, "waxes"),
    ("waxes", {}, "waxes"),
    ("waxes", None, "waxes"),
    ("hours.opens", "9:00", "hours.opens"),
    ("hours.opens", GONE, "hours.opens"),
    ("hours.closes", "08:00", "hours.closes"),
    ("hours.closes", "24:00", "hours.closes"),
    ("hours.hand_in_until", 13, "hours.hand_in_until"),
    ("hours.days", {"2027-03-13": ["18:30", "09:00"]}, "hours.days.2027-03-13[1]"),
    ("hours.days", {"2027-03-13": ["09:00"]}, "hours.days.2027-03-13"),
    ("hours.days", {"2027-03-13": ["9", "18:30"]}, "hours.days.2027-03-13[0]"),
    ("hours.days", {"2027-02-13": None}, "hours.days.2027-02-13"),
    ("hours.days", {"Saturday": None}, "hours.days.Saturday"),
    ("hours.days", {f"2027-03-{day:02}": None for day in range(6, 16)}, "hours.days"),
    ("kilns[0].delayed_start", "no", "kilns[0].delayed_start"),
    ("kilns[0].runs_program", 1, "kilns[0].runs_program"),
    # waxes
    ("waxes[0].wax_g", 0, "waxes[0].wax_g"),
    ("waxes[0].wax_g", -5, "waxes[0].wax_g"),
    ("waxes[0].wax_g", 500.1, "waxes[0].wax_g"),
    ("waxes[0].wax_g", True, "waxes[0].wax_g"),
    ("waxes[0].wax_g", "3.2", "waxes[0].wax_g"),
    ("waxes[0].wax_g", "3,2", "waxes[0].wax_g"),
    ("waxes[0].wax_g", "", "waxes[0].wax_g"),
    ("waxes[0].wax_g", None, "waxes[0].wax_g"),
    ("waxes[0].wax_g", [3.2], "waxes[0].wax_g"),
    ("waxes[0].wax_g", float("nan"), "waxes[0].wax_g"),
    ("waxes[0].wax_g", float("inf"), "waxes[0].wax_g"),
    ("waxes[0].wax_g", GONE, "waxes[0].wax_g"),
    # 22 x 8 x 33 mm of carving wax: 5.808 ml x 0.96 = 5.576 g, x 1.05 = 5.854 g
    ("waxes[0].wax_g", 5.86, "waxes[0].wax_g"),
    ("waxes[0].width_mm", 0, "waxes[0].width_mm"),
    ("waxes[0].depth_mm", -1, "waxes[0].depth_mm"),
    ("waxes[0].height_mm", 400.5, "waxes[0].height_mm"),
    ("waxes[0].height_mm", GONE, "waxes[0].height_mm"),
    ("waxes[0].sprue_g", 3.3, "waxes[0].sprue_g"),
    ("waxes[0].sprue_g", -0.1, "waxes[0].sprue_g"),
    ("waxes[0].sprue_pattern", "cheese", "waxes[0].sprue_pattern"),
    ("waxes[0].alloy", "mithril", "waxes[0].alloy"),
    ("waxes[0].alloy", GONE, "waxes[0].alloy"),
    ("waxes[0].pattern", "cheese", "waxes[0].pattern"),
    ("waxes[0].section", "fat", "waxes[0].section"),
    ("waxes[0].section", 2, "waxes[0].section"),
    ("waxes[0].piece", 0, "waxes[0].piece"),
    ("waxes[0].piece", 1.5, "waxes[0].piece"),
    ("waxes[0].owner", " ", "waxes[0].owner"),
    ("waxes[0].student", "A\nB", "waxes[0].student"),
    ("waxes[0].key", "\ud800", "waxes[0].key"),
    ("waxes[0].key", "k" * 201, "waxes[0].key"),
    ("waxes[0].wigth_mm", 22, "waxes[0].wigth_mm"),
    ("waxes[1]", WAX, "waxes[1].key"),
    ("waxes[1]", {**WAX, "key": "w2", "height_mm": "30"}, "waxes[1].height_mm"),
    ("waxes[1]", "w2", "waxes[1]"),
    # metals
    ("alloys[0].specific_gravity", 6.99, "alloys[0].specific_gravity"),
    ("alloys[0].specific_gravity", 0.96, "alloys[0].specific_gravity"),
    ("alloys[0].specific_gravity", 22.1, "alloys[0].specific_gravity"),
    ("alloys[0].composition_pct.Ag", 91.9, "alloys[0].composition_pct"),
    ("alloys[0].composition_pct.Ag", 93.1, "alloys[0].composition_pct"),
    ("alloys[0].composition_pct", {}, "alloys[0].composition_pct"),
    ("alloys[0].composition_pct.Ag", -1, "alloys[0].composition_pct.Ag"),
    ("alloys[0].composition_pct.Xx", 0, "alloys[0].composition_pct.Xx"),
    ("alloys[0].composition_pct.cd", 0, "alloys[0].composition_pct.cd"),
    ("alloys[0].solidus_c", 894, "alloys[0].solidus_c"),
    ("alloys[0].solidus_c", GONE, "alloys[0].solidus_c"),
    ("alloys[0].pour_c", 893, "alloys[0].pour_c"),
    ("alloys[0].pour_c", 880, "alloys[0].pour_c"),
    ("alloys[0].liquidus_c", 971, "alloys[0].pour_c"),
    ("alloys[0].flask_c.thin", [621, 566], "alloys[0].flask_c.thin"),
    ("alloys[0].flask_c.thin", [566], "alloys[0].flask_c.thin"),
    ("alloys[0].flask_c.thin", GONE, "alloys[0].flask_c.thin"),
    ("alloys[0].flask_c.thin", [705, 720], "alloys[0].flask_c.thin"),
    ("alloys[0].flask_c.fat", [500, 600], "alloys[0].flask_c.fat"),
    ("alloys[0].flask_c", GONE, "alloys[0].flask_c"),
    ("alloys[0].quench_min_by_diameter", [[64, 10], [64, 15]], "alloys[0].quench_min_by_diameter[1]"),
    ("alloys[0].quench_min_by_diameter", [[90, 15], [64, 10]], "alloys[0].quench_min_by_diameter[1]"),
    ("alloys[0].quench_min_by_diameter", [[64, 15], [90, 10]], "alloys[0].quench_min_by_diameter[1]"),
    ("alloys[0].quench_min_by_diameter", [], "alloys[0].quench_min_by_diameter"),
    ("alloys[0].quench_by_min", -1, "alloys[0].quench_by_min"),
    ("alloys[0].price_per_g", -1, "alloys[0].price_per_g"),
    ("alloys[0].price_per_g", "cheap", "alloys[0].price_per_g"),
    ("alloys[0].key", "", "alloys[0].key"),
    ("alloys[0].colour", "white", "alloys[0].colour"),
    ("alloys[1]", example()["alloys"][0], "alloys[1].key"),
    # patterns and investment
    ("patterns[0].specific_gravity", 0.79, "patterns[0].specific_gravity"),
    ("patterns[0].specific_gravity", 2.01, "patterns[0].specific_gravity"),
    ("patterns[0].kind", "cheese", "patterns[0].kind"),
    ("patterns[0].kind", GONE, "patterns[0].kind"),
    ("patterns[1]", example()["patterns"][0], "patterns[1].key"),
    ("investment.water_per_100", 29.9, "investment.water_per_100"),
    ("investment.water_per_100", 50.1, "investment.water_per_100"),
    ("investment.working_min", 0, "investment.working_min"),
    ("investment.max_c", GONE, "investment.max_c"),
    ("investment", None, "investment"),
    # flasks and kilns
    ("flask_sizes[0].diameter_mm", 19.9, "flask_sizes[0].diameter_mm"),
    ("flask_sizes[0].diameter_mm", 250.1, "flask_sizes[0].diameter_mm"),
    ("flask_sizes[0].height_mm", 0, "flask_sizes[0].height_mm"),
    ("flask_sizes[0].outside_mm", 60, "flask_sizes[0].outside_mm"),
    ("flask_sizes[0].count", -1, "flask_sizes[0].count"),
    ("flask_sizes[0].count", 1.5, "flask_sizes[0].count"),
    ("flask_sizes[0].count", True, "flask_sizes[0].count"),
    ("flask_sizes[0].waxes_max", 0, "flask_sizes[0].waxes_max"),
    ("flask_sizes[0].mount", "comb", "flask_sizes[0].mount"),
    ("flask_sizes[0].trunk_mm", 8, "flask_sizes[0].trunk_mm"),
    ("flask_sizes[0].trunk_gap_mm", 6, "flask_sizes[0].trunk_gap_mm"),
    ("flask_sizes[0].wall", "mesh", "flask_sizes[0].wall"),
    ("flask_sizes[0].sleeve_mm", 70, "flask_sizes[0].sleeve_mm"),
    ("flask_sizes[0].sleeve_height_mm", 120, "flask_sizes[0].sleeve_height_mm"),
    ("flask_sizes[0].fill_mm", 60, "flask_sizes[0].fill_mm"),
    ("flask_sizes[1]", HOLED | {"sleeve_mm": 63}, "flask_sizes[1].sleeve_mm"),
    ("flask_sizes[1]", HOLED | {"fill_mm": 102.6}, "flask_sizes[1].fill_mm"),
    # base 10 and cover 63.5 / 4 = 15.875: at 25.8 mm no height is left for a wax
    ("flask_sizes[1]", HOLED | {"fill_mm": 25.8}, "flask_sizes[1].fill_mm"),
    ("flask_sizes[1]", TREE | {"trunk_mm": 4.9}, "flask_sizes[1].trunk_mm"),
    ("flask_sizes[1]", TREE | {"trunk_mm": 20.1}, "flask_sizes[1].trunk_mm"),
    ("flask_sizes[1]", TREE | {"trunk_mm": 12, "hub_mm": 11}, "flask_sizes[1].trunk_mm"),
    ("flask_sizes[1]", TREE | {"trunk_gap_mm": 3.9}, "flask_sizes[1].trunk_gap_mm"),
    ("flask_sizes[1]", TREE | {"trunk_gap_mm": 10.1}, "flask_sizes[1].trunk_gap_mm"),
    ("flask_sizes[1]", TREE | {"trunk_gap_mm": None}, "flask_sizes[1].trunk_gap_mm"),
    ("flask_sizes[1]", TREE | {"height_mm": 44.4}, "flask_sizes[1].height_mm"),
    ("flask_sizes[1]", TREE | {"trunk_high_mm": 44}, "flask_sizes[1].trunk_high_mm"),
    ("flask_sizes[1]", example()["flask_sizes"][0], "flask_sizes[1].key"),
    ("kilns[0].width_mm", 0, "kilns[0].width_mm"),
    ("kilns[0].cool_c_per_h", 0, "kilns[0].cool_c_per_h"),
    ("kilns[0].max_ramp_c_per_h", GONE, "kilns[0].max_ramp_c_per_h"),
    ("kilns[0].wall_gap_mm", -1, "kilns[0].wall_gap_mm"),
    ("kilns[1]", example()["kilns"][0], "kilns[1].key"),
    # firings
    ("firings[0].segments[0].ramp_c_per_h", 0, "firings[0].segments[0].ramp_c_per_h"),
    ("firings[0].segments[0].ramp_c_per_h", -167, "firings[0].segments[0].ramp_c_per_h"),
    ("firings[0].segments[1].hold_min", -1, "firings[0].segments[1].hold_min"),
    ("firings[0].segments[1].to_c", 140, "firings[0].segments[1].to_c"),
    ("firings[0].segments[2].to_c", 751, "firings[0].segments[2].to_c"),
    ("firings[0].segments[2].to_c", 1350, "firings[0].segments[2].to_c"),
    ("firings[0].segments", [{**SEGMENT, "to_c": c} for c in (149, 732, 538, 600)], "firings[0].segments[2].to_c"),
    ("firings[0].segments", [], "firings[0].segments"),
    ("firings[0].kinds", [], "firings[0].kinds"),
    ("firings[0].kinds[0]", "steel", "firings[0].kinds[0]"),
    ("firings[0].kinds[1]", "wax", "firings[0].kinds[1]"),
    ("firings[0].max_height_mm", GONE, "firings[0].max_height_mm"),
    ("firings[1]", example()["firings"][0], "firings[1].key"),
    # house rules
    ("rules.aim", "fastest", "rules.aim"),
    ("rules.wal_mm", 6, "rules.wal_mm"),
    ("rules.wall_mm", -1, "rules.wall_mm"),
    ("rules.torches", 0, "rules.torches"),
    ("rules.hands", 0, "rules.hands"),
    ("rules.hands", 2.5, "rules.hands"),
    ("rules.flasks_per_bowl", 0, "rules.flasks_per_bowl"),
    ("rules.crucible_fill_pct", 0, "rules.crucible_fill_pct"),
    ("rules.crucible_fill_pct", 101, "rules.crucible_fill_pct"),
    ("rules.button_pct.thin", -1, "rules.button_pct.thin"),
    ("rules.button_pct.thin", GONE, "rules.button_pct.thin"),
    ("rules.button_g_by_diameter", [[64, 15], [51, 10]], "rules.button_g_by_diameter[1]"),
    ("rules.charge_step_g", 0, "rules.charge_step_g"),
    ("rules.pitch_min", -1, "rules.pitch_min"),
    ("rules.melt_w", 0, "rules.melt_w"),
    ("rules.melt_w", 0.4, "rules.melt_w"),
    ("rules.melt_set_up_min", -1, "rules.melt_set_up_min"),
    ("rules.cup_change_min", -1, "rules.cup_change_min"),
    ("rules.second_kiln_min", -1, "rules.second_kiln_min"),
    ("rules.melter_min", -1, "rules.melter_min"),
    ("rules.crucibles_ml", 12, "rules.crucibles_ml"),
    ("rules.crucibles_ml", [12, 0], "rules.crucibles_ml[1]"),
    ("rules.crucibles_ml", [12, 36], "rules.crucibles_ml[1]"),
    ("rules.mix_pattern_kinds", 0, "rules.mix_pattern_kinds"),
    # what earlier plans hold
    ("held.w7", "A", "held.w7"),
    ("held.w1", "a", "held.w1"),
    ("held.w1", "ABCD", "held.w1"),
    ("held", ["w1"], "held"),
    ("previous.a", {"size": "64x64", "waxes": []}, "previous.a"),
    ("previous.A.size", "65x65", "previous.A.size"),
    ("previous.A.waxes", ["w1", "w1"], "previous.A.waxes[1]"),
    ("previous.B", {"size": "64x64", "waxes": ["w1"]}, "previous.B.waxes[0]"),
    ("previous.A.when", "now", "previous.A.when"),
    ("fixed[0]", "B", "fixed[0]"),
    ("fixed", ["A", "A"], "fixed[1]"),
    ("fixed", "A", "fixed"),
]
METALS_NEVER_MELTED = ["Cd", "Pb", "Be", "As", "Hg", "Tl", "Mg", "Ti", "Zr", "Na", "Li"]

CASES = [
    *[pytest.param(changed((at, value)), place, id=f"{at}-{nth}") for nth, (at, value, place) in enumerate(ONE_CHANGE)],
    *[
        pytest.param(
            changed(("alloys[0].composition_pct", {"Ag": 92.5, "Cu": 7.4, poison: 0.1})),
            f"alloys[0].composition_pct.{poison}",
            id=poison,
        )
        for poison in METALS_NEVER_MELTED
    ],
    pytest.param(
        changed(("alloys[0].composition_pct", {"Cu": 61, "Zn": 37.8, "Pb": None})),
        "alloys[0].composition_pct.Pb",
        id="lead not recorded",
    ),
    pytest.param(
        changed(("alloys[0].specific_gravity", GONE), ("alloys[0].composition_pct.Cu", None)),
        "alloys[0].specific_gravity",
        id="neither parts nor specific gravity",
    ),
    pytest.param(
        changed(("alloys[0].specific_gravity", GONE), ("alloys[0].composition_pct", GONE)),
        "alloys[0].specific_gravity",
        id="no parts and no specific gravity",
    ),
    pytest.param(
        # 788 C stands however high the powder's own limit is
        changed(("investment.max_c", 1000), ("firings[0].segments[2].to_c", 789)),
        "firings[0].segments[2].to_c",
        id="above 788",
    ),
    pytest.param(
        changed(("fixed", ["A"]), ("previous.A.waxes", ["w1", "w9"])), "fixed[0]", id="fixed with a wax that is gone"
    ),
    pytest.param(
        changed(("firings", GONE), ("investment.max_c", 700)), "firings[0].segments[2].to_c", id="shelf firing"
    ),
    pytest.param('{"format": "casting-day/1", "format": "casting-day/1"}', "format", id="key twice"),
    pytest.param(changed().replace('"wax_g":', '"wax_g": 1, "wax_g":', 1), "waxes[0].wax_g", id="inner key twice"),
    pytest.param(changed().replace('"wax_g": 3.2', '"wax_g": 1e999'), "waxes[0].wax_g", id="1e999"),
    pytest.param(changed().replace('"wax_g": 3.2', f'"wax_g": {"9" * 5000}'), "waxes[0].wax_g", id="5000 digits"),
    pytest.param("", "file", id="empty"),
    pytest.param("a day", "file", id="no JSON"),
    pytest.param("[]", "file", id="a list"),
    pytest.param("null", "file", id="null"),
    pytest.param("[" * 100_000, "file", id="deep"),
    pytest.param("{}", "format", id="an empty object"),
    pytest.param('{"format": "casting-day/1",}', "file", id="a comma too many"),
]


@pytest.mark.parametrize(("text", "place"), CASES)
def test_a_bad_day_file_is_refused_at_its_place(text: str, place: str) -> None:
    with pytest.raises(Refused) as refused:
        read(text)
    assert refused.value.place == place
    line = str(refused.value)
    assert line.startswith(f"{place}: ") and len(line.splitlines()) == 1 and line.isascii()


@pytest.mark.parametrize(("text", "place"), CASES)
def test_the_command_line_says_so_in_one_line_and_prints_nothing(text, place, tmp_path, capsys):
    file = tmp_path / "day.json"
    file.write_text(text, encoding="utf-8", errors="surrogatepass")
    assert solve.main([str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(f"{place}: ") and err.count("\n") == 1


def test_the_example_itself_is_read() -> None:
    assert [wax.key for wax in read(json.dumps(example())).day.waxes] == ["w1"]


def test_bytes_that_are_not_utf_8_are_refused() -> None:
    with pytest.raises(Refused, match=r"^file: byte 11 is not UTF-8"):
        read(b'{"format": \xff}')


@pytest.mark.parametrize("place", ["waxes[0].wax_g", "rules.torches", "investment.max_c", "kilns[0].width_mm"])
def test_a_refusal_says_what_stands_there(place: str) -> None:
    with pytest.raises(Refused, match=r"-7 stands here, but it must be .*; "):
        read(changed((place, -7)))


def test_values_that_nothing_uses_are_checked_too() -> None:
    unused = {**example()["alloys"][0], "key": "gold", "pour_c": 1}
    with pytest.raises(Refused, match=r"^alloys\[1\]\.pour_c: "):
        read(changed(("alloys[1]", unused)))
