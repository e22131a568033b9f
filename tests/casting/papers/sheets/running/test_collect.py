"""Ready to collect: who has what, and how each metal is cared for."""

import re
from dataclasses import replace

from casting.models import Flask, StepRecord
from casting.papers.sheets.running.collect import care_for, collect_html, collectors_of
from casting.presenters.care import care_words
from tests.casting.conftest import STILL
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.factories import StudentFactory


def words(page):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page))


def test_a_piece_is_ready_once_it_is_quenched_until_it_is_given_back(plan_24, teacher):
    job = job_of(plan_24)
    flask = job.opened.sheet.flasks[0]
    first, second = (one.name.tag for one in flask.waxes[:2])
    Flask.objects.create(day=plan_24.day, label=flask.label, state="poured")
    for do, what in (("quench", flask.label), ("collected", first)):
        StepRecord.objects.create(day=plan_24.day, do=do, what=what, done_at=STILL, by=teacher, who="Nadia Ferro")
    pieces = {one.on_base.name.tag: one for by in collectors_of(job_of(plan_24)) for one in by.pieces}
    assert not pieces[first].is_ready and pieces[first].given.by == "Nadia Ferro"
    assert pieces[second].is_ready and sum(one.is_ready for one in pieces.values()) == len(flask.waxes) - 1
    page = words(collect_html(job_of(plan_24)))
    assert "Nadia Ferro" in page and "not yet poured" in page


def test_students_stand_by_name_each_with_all_of_theirs(day, teacher):
    for name in ("Wilhelmina Oster", "Bram Adeyemi"):
        student = StudentFactory(course=day.course, called=name)
        handed_in(day, student)
        handed_in(day, student)
    found = collectors_of(job_of(make_plan(day, teacher)))
    assert [(one.student, len(one.pieces)) for one in found] == [("Bram Adeyemi", 2), ("Wilhelmina Oster", 2)]
    assert found[0].pieces[0].cast_g is None


def test_bronze_has_its_own_pickle_and_silver_its_fire_stain(day, student, teacher):
    handed_in(day, student)
    handed_in(day, student, alloy=day.alloys.get(key="si-bronze"))
    page = words(collect_html(job_of(make_plan(day, teacher))))
    silver, bronze = page.split("Silicon bronze")[-2:]
    assert "a pickle of their own" in bronze and "a pickle of their own" not in silver
    assert "fire stain" in silver and "fire stain" not in bronze and "It has nickel" not in page


def test_what_has_no_source_says_so(plan_24):
    alloy = next(iter(job_of(plan_24).opened.sheet.day.alloys.values()))
    assert not any(from_memory for _words, from_memory in care_for(alloy).lines)
    white = replace(alloy, composition_pct={"Au": 58.3, "Cu": 28.3, "Ni": 8.6, "Zn": 4.8})
    assert [said for said, from_memory in care_for(white).lines if from_memory] == [str(care_words("white-gold"))]


def test_no_flask_no_list(plan_0):
    assert collect_html(job_of(plan_0)) is None
