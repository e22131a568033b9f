"""What stops or warns on the day plan: its boxes, its two columns, what is cleared and what is said once."""

import re
from dataclasses import replace

from django.template.loader import render_to_string

from casting.calc.values.enums import Asked, Level
from casting.dayfile.rules_file import rulebook
from casting.models import CautionCleared
from casting.papers.sheets import day_plan
from casting.papers.sheets.day_plan import Line, day_plan_html, in_columns, lines_of
from casting.presenters.cautions import ShownCaution
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.days.written_plans import CAUTION, plan_of_24, plan_of_one


def said(rule, level, text, when=Asked.MELT):
    return ShownCaution(rule, level, when, text, "", text, (), False)


def test_what_is_said_of_many_flasks_alike_is_said_once():
    gently = "Heat flask {}'s {} g gently: so little overheats fast in a 24 ml crucible."
    lines = lines_of(
        [said("N-08", Level.SAY, gently.format(*of)) for of in [("A", "14.5"), ("B", "26"), ("AA", "9")]], [Asked.MELT]
    )
    assert [(line.caution.text, line.others) for line in lines] == [(gently.format("A", "14.5"), ("B", "AA"))]


def test_a_stop_is_said_of_each_flask_with_its_own_figure():
    carry = "Do not carry flask {} alone: powder and metal weigh {} kg."
    stops = [said("N-09-stop", Level.STOP, carry.format(*of), Asked.POUR) for of in [("A", "7.2"), ("B", "8.1")]]
    assert [line.caution for line in lines_of(stops, [Asked.POUR])] == stops
    assert lines_of(stops, [Asked.KILN]) == []


def day_with_a_gate():
    """Eight flasks, and a STOP that is asked at each pour."""
    plan, day_file = plan_of_24()
    stop = CAUTION | {"id": "R-21", "level": "STOP", "when": "pour", "text": rulebook().rules["R-21"].text}
    return plan | {"cautions": [stop]}, day_file


def test_a_gate_of_every_pour_has_a_box_for_each_flask_and_one_name_beside_them(day, teacher):
    page = day_plan_html(job_of(stored(day, teacher, *day_with_a_gate())))
    gates = re.findall(r'<li class="caution-\w+">(?:(?!</li>).)*<span class="each-flask">.*?</li>', page, re.DOTALL)
    assert gates and all(len(re.findall(r'class="tick"></span>[A-H]</span>', gate)) == 8 for gate in gates)
    for block in re.findall(r'<div class="gates">.*?</div>', page, re.DOTALL):
        assert block.count("Ticked by:") == (1 if 'class="tick"' in block else 0)


def test_nine_flasks_and_more_share_a_box(day, teacher, monkeypatch):
    monkeypatch.setattr(day_plan, "BOXES_BESIDE", 7)
    page = day_plan_html(job_of(stored(day, teacher, *day_with_a_gate())))
    assert "each-flask" not in page and '<span class="tick"></span><b>' in page


def test_a_cleared_stop_says_who_cleared_it_and_is_not_ticked():
    stop = replace(said("R-36", Level.STOP, "Do not cast on wet ground.", Asked.POUR), cleared_by="Imre", reason="dry")
    (line,) = lines_of([stop], [Asked.POUR])
    assert not line.is_gate and not line.each_pour
    page = render_to_string("papers/_gates.html", {"lines": in_columns([line]), "gate": True})
    assert "Cleared by Imre: dry" in page and "tick" not in page


def test_what_a_check_says_is_not_said_again_but_what_is_not_recorded_is():
    rule = rulebook().rules["R-36"].text
    stop = replace(said("R-36", Level.STOP, f"{rule} Not recorded, ask: casting outdoors.", Asked.POUR), check="Dry.")
    assert Line(stop).words == "Not recorded, ask: casting outdoors."
    assert Line(replace(stop, text=rule)).words == ""
    # Of a rule whose check says less than it, and of words that are not the rule's own, nothing is left out.
    assert Line(replace(stop, id="R-21")).words == stop.text
    assert Line(replace(stop, text="Cast indoors.")).words == "Cast indoors."


def test_lines_stand_in_two_columns_of_about_as_many_rows_the_name_last():
    say, stop = (said("R-21", level, "Lower it slowly. " * 10, Asked.POUR) for level in (Level.SAY, Level.STOP))
    short = replace(say, text="Look away.")
    # 170 letters are about three rows of 60, ten are one: 3 beside 3 x 1.
    left, right = in_columns([Line(say), Line(short), Line(short), Line(short)])
    assert (len(left), len(right)) == (1, 3)
    assert in_columns([Line(say)]) == ([Line(say)], [])
    assert in_columns([Line(stop)]) == ([Line(stop)], [None])
    page = render_to_string("papers/_gates.html", {"lines": in_columns([Line(stop)]), "gate": True})
    assert page.count("Ticked by:") == 1 and page.index("Lower it") < page.index("Ticked by:")


def test_a_cleared_warn_before_the_day_says_who_cleared_it(day, teacher):
    plan, day_file = plan_of_one()
    # R-27a, of a rule that a teacher may clear; the text is this plan's own.
    warn = CAUTION | {"id": "R-27a", "level": "WARN", "when": "plan", "text": "Vent this room."}
    made = stored(day, teacher, plan | {"cautions": [warn]}, day_file)
    assert "Vent this room." in day_plan_html(job_of(made)) and "Cleared by" not in day_plan_html(job_of(made))
    CautionCleared.objects.create(
        day=day, caution="R-27a", text="Vent this room.", by="Imre", reason="the door is open"
    )
    page = day_plan_html(job_of(made))
    assert "Cleared by Imre: the door is open" in page[page.index("Vent this room.") :][:200]
