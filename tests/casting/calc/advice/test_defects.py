import pytest

from casting.calc.advice.defects import likely_causes
from casting.calc.values.defect import Defect, Verdict
from casting.dayfile.defects_file import cause_rules
from casting.dayfile.rules_file import rulebook

SOUND = {
    # A sterling flask of thin pieces, all as it should be; the asked figures are the plan's own.
    "flask_c": 595, "flask_least_c": 566, "flask_most_c": 621, "soak_min": 65, "soak_asked_min": 60,
    "charge_g": 62.4, "charge_asked_g": 62.4, "pour_gauge_mbar": 55, "mix_gauge_mbar": 55, "out_min": 1.5,
    "top_hold_min": 120, "top_hold_asked_min": 120, "top_c": 732, "superheat_c": 75, "fresh_pct": 60,
    "sprue_mm": 3.3, "sprue_asked_mm": 3.2, "sprue_length_mm": 8, "slurry_min": 8, "slurry_working_min": 9.5,
    "quiet_min": 1.6, "water_g_per_100g": 40, "water_asked_g_per_100g": 40, "rest_min": 130,
    "early_ramp_c_per_h": 150, "cover_mm": 14, "cover_asked_mm": 13,
    "quench_min": 15, "quench_asked_min": 15, "resin": 0,
}  # fmt: skip
WRONG = {
    # Each cause: the one figure that is made wrong, just beyond what is asked.
    "flask-cold": ("flask_c", 565), "soak-short": ("soak_min", 59), "charge-short": ("charge_g", 61.1),
    "vacuum-weak-pour": ("pour_gauge_mbar", 66), "out-long": ("out_min", 2.1), "top-short": ("top_hold_min", 119),
    "top-low": ("top_c", 676), "plaster-too-hot": ("top_c", 789), "flask-hot": ("flask_c", 622),
    "metal-hot": ("superheat_c", 101), "metal-tired": ("fresh_pct", 49), "sprue-thin": ("sprue_mm", 3.1),
    "sprue-long": ("sprue_length_mm", 10.5), "slurry-old": ("slurry_min", 9.6), "no-quiet": ("quiet_min", 1.4),
    "vacuum-weak-mix": ("mix_gauge_mbar", 66), "water-much": ("water_g_per_100g", 40.9),
    "water-little": ("water_g_per_100g", 39.1), "rest-short": ("rest_min", 119),
    "heated-fast": ("early_ramp_c_per_h", 281), "cover-thin": ("cover_mm", 12.9), "quench-early": ("quench_min", 14),
    "resin-ash": ("resin", 1),
}  # fmt: skip
PAIRS = [(rule.id, kind) for rule in cause_rules() for kind in sorted(rule.kinds)]


def found(kind, record):
    return {cause.rule.id: cause for cause in likely_causes(kind, record, cause_rules(), rulebook())}


@pytest.mark.parametrize(("id", "kind"), PAIRS)
def test_each_cause_is_pointed_at_by_its_own_figure_spoken_against_by_a_sound_one_and_unknown_without(id, kind):
    name, value = WRONG[id]
    assert found(kind, SOUND)[id].verdict is Verdict.SPEAKS_AGAINST
    assert found(kind, SOUND | {name: value})[id].verdict is Verdict.POINTS_HERE
    blank = {fact: figure for fact, figure in SOUND.items() if fact != name}
    assert found(kind, blank)[id].verdict is Verdict.NOT_RECORDED


@pytest.mark.parametrize("kind", Defect)
def test_of_a_flask_without_a_record_every_cause_is_open_in_the_usual_order(kind):
    causes = likely_causes(kind, {}, cause_rules(), rulebook())
    assert causes and all(cause.verdict is Verdict.NOT_RECORDED for cause in causes)
    assert [cause.rule.id for cause in causes] == [rule.id for rule in cause_rules() if kind in rule.kinds]


def test_what_is_furthest_off_comes_first_then_what_nobody_noted_then_what_was_sound():
    # By hand: soak 30 of 60 min is 50 % off, flask 538 of 566 C 4.9 %; the top hold is blank.
    record = SOUND | {"soak_min": 30, "flask_c": 538}
    del record["top_hold_min"]
    causes = likely_causes(Defect.INCOMPLETE, record, cause_rules(), rulebook())
    assert [cause.rule.id for cause in causes[:3]] == ["soak-short", "flask-cold", "top-short"]
    assert [cause.off_pct for cause in causes[:3]] == pytest.approx([50, 4.947, 0], abs=0.001)
    assert (causes[0].found, causes[0].asked) == (30, 60)
    assert {cause.verdict for cause in causes[3:]} == {Verdict.SPEAKS_AGAINST}


def test_a_figure_of_the_plan_that_is_not_known_leaves_its_cause_open():
    record = {name: figure for name, figure in SOUND.items() if name != "charge_asked_g"}
    assert found(Defect.INCOMPLETE, record)["charge-short"].verdict is Verdict.NOT_RECORDED
