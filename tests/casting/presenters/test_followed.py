"""Where a student's waxes are in the last plan, and how far they have come."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from casting.calc.values.enums import Tick
from casting.models import Flask, StepRecord, Wax
from casting.presenters.followed import NOTHING, following_of
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.running.pours_page import PoursPage
from casting.selectors.mounted import WeighedBase
from casting.services.board import take_step, undo
from casting.services.board_moves import Move
from casting.services.flasks import fix_flask, note_kiln
from casting.services.running.after_pour import note_given_back, note_quenched, undo_given_back
from casting.services.running.mishaps import Met, note_mishap, take_back_mishap
from casting.services.waxes import withdraw
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


@pytest.fixture
def wax(day, student):
    return handed_in(day, student)


@pytest.fixture
def plan(day, teacher, wax):
    return make_plan(day, by=teacher)


def stage(day, wax):
    one = following_of(day, {wax.tag: wax.what}).in_flask[wax.tag]
    return one.stage, [each.word for each in one.stages if each.done]


def test_without_a_plan_nothing_is_known(day, wax):
    assert following_of(day, {wax.tag: wax.what}) is NOTHING


def test_nothing_is_said_of_anybody_elses_wax(day, wax, teacher):
    other = handed_in(day)
    make_plan(day, by=teacher)
    assert following_of(day, {wax.tag: wax.what}).in_flask.keys() == {wax.tag}
    assert following_of(day, {other.tag: ""}).in_flask.keys() == {other.tag}


def test_a_piece_moves_from_planned_to_given_back(day, wax, plan, teacher):
    label, kiln = plan.file["flasks"][0]["label"], plan.file["firings"][0]["kiln"]
    assert stage(day, wax) == ("planned", ["planned"])
    weighed = StepRecord(day=day, do=Tick.WEIGHED, what=label, done_at=timezone.now(), by=teacher)
    for tags, told in (({wax.tag, "Z9"}, "planned"), ({wax.tag}, "mounted")):
        weighed.figures = WeighedBase(Decimal("45"), Decimal("40"), "", frozenset(tags)).as_json()
        weighed.save()
        assert stage(day, wax)[0] == told, "a base counts with the waxes that stand on it"
    assert stage(day, wax)[1] == ["planned", "mounted"]
    assert following_of(day, {wax.tag: wax.what}).in_flask[wax.tag].may_move
    fix_flask(day, label, Flask.State.INVESTED, by=teacher)
    assert stage(day, wax) == ("invested", ["planned", "mounted", "invested"])
    note_kiln(day, kiln, on=True, by=teacher)
    assert stage(day, wax) == ("in_kiln", ["planned", "mounted", "invested", "in kiln"])
    fix_flask(day, label, Flask.State.POURED, by=teacher, poured_at=timezone.now())
    assert stage(day, wax) == ("poured", ["planned", "mounted", "invested", "in kiln", "poured"])
    note_quenched(day, label, by=teacher, sure=True)
    assert stage(day, wax) == ("quenched", ["planned", "mounted", "invested", "in kiln", "poured", "quenched"])
    note_given_back(day, [wax.tag], by=teacher)
    assert stage(day, wax)[0] == "given_back"
    undo_given_back(day, wax.tag, by=teacher)
    assert stage(day, wax)[0] == "quenched"


def test_a_late_flask_is_told_as_the_page_of_the_pours_has_it(day, wax, plan, teacher):
    (flask,) = plan.file["flasks"]
    planned = following_of(day, {wax.tag: wax.what}).in_flask[wax.tag]
    assert planned.expected is None and planned.cleaned_at == planned.out_at
    fix_flask(day, flask["label"], Flask.State.INVESTED, by=teacher)
    note_mishap(day, Met("late", (flask["label"],), "late_40"), by=teacher)
    late = following_of(day, {wax.tag: wax.what}).in_flask[wax.tag]
    # It is the only flask and not under way yet: 40 minutes after its planned time, and so is all that follows.
    assert late.pours_at - planned.pours_at == late.cleaned_at - planned.cleaned_at == timedelta(minutes=40)
    assert late.pours_at == PoursPage(OpenedPlan(plan)).expected[flask["label"]].out_at
    take_back_mishap(day, "late", flask["label"], by=teacher)
    poured_at = timezone.now()
    fix_flask(day, flask["label"], Flask.State.POURED, by=teacher, poured_at=poured_at)
    poured = following_of(day, {wax.tag: wax.what}).in_flask[wax.tag]
    assert poured.cleaned_at - planned.cleaned_at == poured_at - planned.pours_at


def test_a_wax_changed_since_the_plan_is_only_told_to_be_so(day, wax, plan):
    Wax.objects.filter(pk=wax.pk).update(section="thin")
    found = following_of(day, {wax.tag: wax.what})
    assert (found.in_flask, found.changed) == ({}, {wax.tag})


def test_a_wax_in_plaster_is_followed_as_it_was_planned(day, wax, plan, teacher):
    fix_flask(day, plan.file["flasks"][0]["label"], Flask.State.INVESTED, by=teacher)
    Wax.objects.filter(pk=wax.pk).update(section="thin")
    found = following_of(day, {wax.tag: wax.what})
    assert found.in_flask.keys() == {wax.tag} and not found.changed


def test_a_wax_left_out_has_its_reason(day, student, teacher):
    tall = handed_in(day, student, height_mm=190)
    handed_in(day, student)
    make_plan(day, by=teacher)
    found = following_of(day, {tall.tag: tall.what})
    assert not found.in_flask and "190" in found.left_out[tall.tag].detail


def test_a_withdrawn_wax_is_asked_for_by_nobody(day, wax, plan, student):
    withdraw(wax, by=student, version=1)
    assert following_of(day, {}) is NOTHING


def test_a_wax_that_broke_on_the_bench_is_told_to_its_student_and_one_left_out_is_not_called_broken(
    day, wax, plan, teacher
):
    take_step(day, Move("broke", tag=wax.tag), revision=1, by=teacher)
    told = following_of(day, {wax.tag: wax.what}).left_out[wax.tag]
    assert (told.detail, told.cure) == ("It broke on the bench.", "make it again and weigh it in as a new wax")
    undo(day, revision=2, by=teacher)
    take_step(day, Move("out", tag=wax.tag), revision=3, by=teacher)
    told = following_of(day, {wax.tag: wax.what}).left_out[wax.tag]
    assert (told.detail, told.cure) == ("The teacher leaves it out today.", None)
