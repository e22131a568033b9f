"""Every caution that a day raises is printed on one of its papers: its own words, or a line that speaks for it."""

import html
import re

import pytest
from django.urls import reverse

from casting.calc.values.enums import Asked, Level
from casting.calc.values.marked_text import FROM_MEMORY
from casting.models import Alloy, PatternMaterial, SafetyRecord
from casting.papers.sheets import handout_words as words
from casting.papers.sheets.day_plan import day_plan_html, flask_of, lines_of
from casting.papers.sheets.handout import figures_of, handout_html, offered_of, wanted
from casting.papers.sheets.supplement import supplement_html
from casting.papers.sheets.teacher_safety import teacher_safety_html
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.vacuum import gauge_line
from casting.services.demo import load_demo
from tests.casting.conftest import STILL
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.factories import CourseFactory

TORCH = {"melter": "torch", "oxygen": True, "leak_test": True}
RECORDS = {
    "demo": {},
    "acetylene, bell jar, lamp": TORCH | {"fuel": "acetylene", "bell_jar": True, "lamp": True},
    "propane in a cellar": TORCH | {"fuel": "lpg"},
    "electric": {"melter": "electric", "steam_dewax": True},
    "induction": {"melter": "induction", "solvents": True},
    "everything hazardous": TORCH | {
        "fuel": "acetylene", "solvents": True, "steam_dewax": True, "outdoors": True, "unknown_metal": True,
        "asbestos": True, "old_fibre": True, "melt_extraction": False, "youngest_age": 11, "co_alarm": False,
        "people_near_kiln": True, "kiln_vent_outside": False, "eyewash": False, "hours_unattended": 20,
    },
    "nothing recorded": None,
}  # fmt: skip

# What each rule may not lose when a line of the handout speaks for it.
KEY_WORDS = {
    "R-02": ["fume fan"], "R-03": ["nickel", "skin"], "R-08": ["allergy", "maker"], "R-15": ["cracks", "shield"],
    "R-16a": ["shade 3 to 5"], "R-16b": ["leak"], "R-17a": ["15 psi", "103 kPa"], "R-17b": ["cellar"],
    "R-17c": ["oil", "oxygen"], "R-20a-say": ["number", "alarm"], "R-30": ["powder on your hands"],
    "white-plaster": ["white plaster", "carbon"], "gas-alarm": ["25 ppm"], "R-13": ["data sheet"],
}  # fmt: skip


def text_of(page):
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page.partition("<h1")[2])).split())


def printed(words):
    """Words as a paper has them: of the mark of a figure from memory the star alone."""
    return words.replace(FROM_MEMORY, "*")


def lines_for(id, raised, figures):
    """The handout's lines that speak for a rule."""
    lines = [*words.STOPS, *(line for _title, step in words.STEPS for line in step)]
    found = [printed(str(line.text) % figures) for line in lines if id in line.speaks_for and wanted(line, raised)]
    return found + ([str(words.WEAR[0][1])] if id in words.WEAR_SPEAKS_FOR else [])


@pytest.mark.parametrize("record", RECORDS.values(), ids=RECORDS)
def test_every_raised_caution_is_spoken_for_on_a_paper_of_its_day(school, teacher, student, record):
    day = load_demo(school, CourseFactory(school=school), STILL.date())
    kept = SafetyRecord.objects.filter(school=school)
    kept.delete() if record is None else kept.update(**record)
    for key in ("brass", "nickel-white-14k"):
        alloy = Alloy.objects.get(school=school, key=key)
        day.alloys.add(alloy)
        handed_in(day, student, alloy=alloy)
    plan = make_plan(day, teacher)
    job, offered = job_of(plan), offered_of(day)
    given_out = text_of(handout_html(job_of(day)))
    of_student = " ".join([given_out, text_of(supplement_html(job))])
    papers = " ".join([given_out, text_of(day_plan_html(job)), text_of(teacher_safety_html(job))])
    raised = {one.id for one in offered.cautions}
    figures = figures_of(offered.units, offered.metals, offered.cautions)
    figures["vacuum"] = gauge_line(offered.record.facts()).number
    found = OpenedPlan(plan).cautions
    # What is said of several flasks alike is said once, and names the others.
    alike = {(line.caution.id, label) for line in lines_of(found, list(Asked)) for label in line.others}
    assert {"R-02", "R-03", "R-08", "white-plaster"} <= {one.id for one in found}
    for one in found:
        spoken = [line for line in lines_for(one.id, raised, figures) if " ".join(line.split()) in given_out]
        assert " ".join(printed(one.text).split()) in papers or spoken or (one.id, flask_of(one)) in alike, one.id
        if one.level is not Level.SAY:
            assert spoken or " ".join(printed(one.text).split()) in of_student, one.id
        if spoken:
            assert all(word in " ".join([*spoken, one.text]) for word in KEY_WORDS.get(one.id, []))
            assert all(word.lower() in papers.lower() for word in KEY_WORDS.get(one.id, [])), one.id


ALONE = {
    "R-15": ({"bell_jar": True}, {"bell_jar": False}, "Check the bell jar for cracks. Put its shield on."),
    "R-17c": (TORCH, TORCH | {"oxygen": False}, "Keep oil and grease away from oxygen."),
}


@pytest.mark.parametrize(("id", "there", "away", "line"), [(id, *case) for id, case in ALONE.items()], ids=ALONE)
def test_bell_jar_and_oxygen_are_spoken_for_on_a_day_of_their_own_and_only_there(
    day, teacher, student, id, there, away, line
):
    handed_in(day, student)
    plan = make_plan(day, teacher)
    fact = "bell_jar" if id == "R-15" else "oxygen"
    # What nobody recorded counts as there.
    for facts, said in ((there, True), (away, False), ({fact: None}, True)):
        SafetyRecord.objects.filter(school=day.course.school).update(**facts)
        assert (id in {one.id for one in OpenedPlan(plan).cautions}) is said
        assert (line in text_of(handout_html(job_of(day)))) is said
        assert (line.split(".")[0] in text_of(teacher_safety_html(job_of(plan)))) is said


def test_resin_is_spoken_for_on_a_day_of_its_own_and_only_there(day, teacher, student):
    resin = PatternMaterial.objects.get(school=day.course.school, key="print-resin")
    handed_in(day, student, pattern=resin)
    line = "Touch only washed and cured resin, with gloves: it can start an allergy for life."
    plan = make_plan(day, teacher)
    assert "R-08" in {one.id for one in OpenedPlan(plan).cautions}
    assert line in text_of(handout_html(job_of(day))) and "resin maker" in text_of(teacher_safety_html(job_of(plan)))


def test_a_day_without_resin_says_nothing_of_it(day, teacher, student):
    PatternMaterial.objects.filter(school=day.course.school, key="print-resin").update(offered=False)
    handed_in(day, student)
    plan = make_plan(day, teacher)
    assert "R-08" not in {one.id for one in OpenedPlan(plan).cautions}
    for page in (handout_html(job_of(day)), teacher_safety_html(job_of(plan))):
        assert "washed and cured resin" not in text_of(page)


def test_what_a_resin_flask_costs_the_others_is_printed_and_shown_on_two_pages(day, teacher, student, teacher_client):
    resin = PatternMaterial.objects.get(school=day.course.school, key="print-resin")
    handed_in(day, student)
    assert "slow-flask" not in {one.id for one in OpenedPlan(make_plan(day, teacher)).cautions}
    handed_in(day, student, pattern=resin)
    plan = make_plan(day, teacher)
    (told,) = [one for one in OpenedPlan(plan).cautions if one.id == "slow-flask"]
    words = " ".join(told.text.split())
    assert " would go on " in words and words in text_of(teacher_safety_html(job_of(plan)))
    for page in ("flasks", "day_plan"):
        shown = text_of(teacher_client.get(reverse(page, args=[day.pk])).content.decode())
        assert shown.count(words) == 1
