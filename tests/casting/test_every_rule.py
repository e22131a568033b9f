"""Every rule of the rulebook by the site's own road: a day that raises it, a paper that prints it, a day without it."""

import pytest

from casting.calc.values.marked_text import FROM_MEMORY
from casting.dayfile.rules_file import rulebook
from casting.papers.registry import PAPERS
from casting.papers.sheets.handout import figures_of, handout_html, offered_of
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.told_once import told_once
from casting.presenters.vacuum import gauge_line
from tests.casting.papers.printed import job_of
from tests.casting.papers.test_every_caution_printed import lines_for, text_of
from tests.casting.rule_scenes import ALWAYS_SAID, GUARDS, SCENES, planned
from tests.casting.site_rows import Site

FAIR = {name: {one for scene in SCENES.values() if scene.fair == name for one in scene.raises} for name in SCENES}
"""By a scene's name what may not be raised in it: the rules of the scenes beside which it is the fair day."""
ORDER = sorted(PAPERS, key=lambda paper: paper.key != "teacher-safety")
"""The papers, that first on which most is said."""


def raised_in(name, day, student, teacher):
    """What is said of a scene's stored plan, by rule, and the plan."""
    plan = planned(Site(day, student, teacher), SCENES[name])
    found = {}
    for one in told_once(OpenedPlan(plan).cautions):
        found.setdefault(one.id, one.text)
    return found, plan


def as_printed(words):
    return " ".join(words.replace(FROM_MEMORY, "*").split())


def unprinted(wanted, plan):
    """The rules, of these with their words, that no paper of the plan prints and no line of the handout speaks for."""
    job, left = job_of(plan), set(wanted)
    for paper in ORDER:
        words = text_of(paper.html(job) or "") if left else ""
        left = {id for id in left if as_printed(wanted[id]) not in words}
        if left and paper is ORDER[0]:
            left -= spoken_for(left, plan.day)
    return left


def spoken_for(rules, day):
    """The rules that a line of the day's handout speaks for."""
    offered = offered_of(day)
    figures = figures_of(offered.units, offered.metals, offered.cautions)
    figures["vacuum"] = gauge_line(offered.record.facts()).number
    handout, raised = text_of(handout_html(job_of(day))), {one.id for one in offered.cautions}
    return {id for id in rules for line in lines_for(id, raised, figures) if as_printed(line) in handout}


@pytest.mark.parametrize("name", SCENES)
def test_a_day_raises_its_rules_and_prints_them_and_none_whose_fair_day_it_is(name, day, student, teacher):
    found, plan = raised_in(name, day, student, teacher)
    scene = SCENES[name]
    assert set(scene.raises) - found.keys() == set(), "not raised"
    assert FAIR[name] & found.keys() == set(), "raised on a fair day"
    asked = {*scene.raises, *(ALWAYS_SAID if name == "calm" else ())}
    assert unprinted({id: found[id] for id in asked}, plan) == set(), "on no paper"


def test_every_rule_has_a_day_that_raises_it():
    raised = {id for scene in SCENES.values() for id in scene.raises}
    assert set(rulebook().rules) - raised - set(ALWAYS_SAID) - GUARDS == set()
    assert (raised | set(ALWAYS_SAID) | GUARDS) - set(rulebook().rules) == set()
    assert raised & (set(ALWAYS_SAID) | GUARDS) == set()
    # A scene is no fair day of its own rules.
    assert [name for name, scene in SCENES.items() if scene.raises and scene.fair == name] == []


def test_a_caution_that_no_paper_prints_is_found(day, student, teacher):
    _found, plan = raised_in("calm", day, student, teacher)
    assert unprinted({"x": "Do what no paper says."}, plan) == {"x"}
