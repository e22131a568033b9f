"""The teacher's own word on flasks: waxes kept in one, and how far each has come."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest
from django.utils import timezone

from casting.models import CastingDay, Flask, Plan
from casting.models.errors import NotPlanned
from casting.models.wax_entry import entry_of
from casting.presenters.opened_plan import names_of
from casting.selectors.day_file import day_values_of, is_outdated
from casting.services.flasks import ContentsChanged, fix_flask, hold_wax, note_kiln
from casting.services.waxes import change, withdraw
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def test_a_held_wax_stands_in_its_flask(day, teacher):
    wax = handed_in(day)
    make_plan(day, by=teacher)
    hold_wax(wax, "K", teacher)
    plan = make_plan(day, by=teacher)
    assert [(flask["label"], flask["waxes"][0]["key"]) for flask in plan.file["flasks"]] == [("K", wax.tag)]
    assert list(day.flasks.values_list("label", flat=True)) == ["K"]


def test_a_day_whose_held_wax_fits_no_flask_is_refused(day, teacher):
    tall = handed_in(day, height_mm=88)
    hold_wax(tall, "B", teacher)
    with pytest.raises(NotPlanned, match=f"^{tall.tag} fits no flask even alone") as refused:
        make_plan(day, by=teacher)
    assert "held." not in refused.value.sentence and not Plan.objects.exists()


def test_an_invested_flask_stays_as_it_is(day, student, teacher):
    handed_in(day, student)
    make_plan(day, by=teacher)
    fix_flask(day, "A", Flask.State.INVESTED, by=teacher)
    handed_in(day, student)
    after = make_plan(day, by=teacher)
    assert after.day_values["fixed"] == ["A"]
    assert [len(flask["waxes"]) for flask in after.file["flasks"]] == [1, 1]
    with pytest.raises(NotPlanned, match="no flask Q"):
        fix_flask(day, "Q", Flask.State.INVESTED, by=teacher)


def invested_as_planned(day, teacher, label="A"):
    """The flask, invested though its waxes are no longer what was planned."""
    with pytest.raises(ContentsChanged) as asked:
        fix_flask(day, label, Flask.State.INVESTED, by=teacher)
    assert asked.value.label == label
    fix_flask(day, label, Flask.State.INVESTED, by=teacher, as_planned=True)
    return asked.value.sentence


def test_a_flask_with_a_withdrawn_wax_asks_once_and_does_not_end_planning(day, student, teacher):
    wax = handed_in(day, student)
    before = make_plan(day, by=teacher)
    withdraw(wax, by=student, version=wax.version)
    assert f"Wax {wax.tag} was withdrawn after this plan was made." in invested_as_planned(day, teacher)
    after = make_plan(day, by=teacher)
    assert [one["key"] for one in after.file["flasks"][0]["waxes"]] == [wax.tag]
    assert after.file["flasks"][0]["charge_g"] == before.file["flasks"][0]["charge_g"]
    assert names_of(day)[wax.tag].piece == f"{wax.what} (withdrawn)"


def test_a_changed_wax_leaves_the_charge_that_was_weighed_out(day, student, teacher):
    """1.2 g changed to 2.9 g after the plan: the flask holds 1.2 g, and its charge stays."""
    wax = handed_in(day, student, wax_g=1.2)
    before = make_plan(day, by=teacher)
    change(wax, by=student, version=wax.version, entry=replace(entry_of(wax), wax_g=Decimal("2.9")))
    assert f"Wax {wax.tag} was changed after this plan was made." in invested_as_planned(day, teacher)
    after = make_plan(day, by=teacher)
    assert after.file["flasks"][0]["charge_g"] == before.file["flasks"][0]["charge_g"]
    assert not is_outdated(after)


def test_a_flask_as_it_was_planned_is_invested_without_a_question(day, student, teacher):
    handed_in(day, student)
    make_plan(day, by=teacher)
    other = handed_in(day, student)
    withdraw(other, by=student, version=other.version)
    assert fix_flask(day, "A", Flask.State.INVESTED, by=teacher).state == Flask.State.INVESTED


def test_a_plan_made_again_loads_no_flask_before_it_has_set(day, student, teacher):
    """All invested, then the first pour is moved so near that the kiln would go on before the plaster has set."""
    handed_in(day, student)
    plan = make_plan(day, by=teacher)
    fix_flask(day, "A", Flask.State.INVESTED, by=teacher)
    on, pour = (
        dt.datetime.fromisoformat(plan.file[key][0][at]) for key, at in (("firings", "on_at"), ("flasks", "out_at"))
    )
    near = timezone.now() + (pour - on) + dt.timedelta(minutes=30)
    CastingDay.objects.filter(pk=day.pk).update(pour_at=near.replace(second=0, microsecond=0))
    day.refresh_from_db()
    with pytest.raises(NotPlanned, match=r"flask A sets until .* The earliest first pour is "):
        make_plan(day, by=teacher)
    # Two hours of set and an hour to spare.
    CastingDay.objects.filter(pk=day.pk).update(pour_at=day.pour_at + dt.timedelta(hours=3))
    day.refresh_from_db()
    again = make_plan(day, by=teacher)
    steps = {step["do"]: step for step in again.file["steps"]}
    assert dt.datetime.fromisoformat(steps["load"]["at"]) >= dt.datetime.fromisoformat(steps["set"]["until"])
    assert set(again.day_values["invested_at"]) == {"A"} and again.day_values["now"]


def test_a_kiln_that_is_on_is_noted_and_the_note_taken_back(day, student, teacher):
    handed_in(day, student)
    kiln = make_plan(day, by=teacher).file["firings"][0]["kiln"]
    for on in (True, True, False, False):
        note_kiln(day, kiln, on=on, by=teacher)
        assert (kiln in day_values_of(day).get("kiln_on_at", {})) is on
    with pytest.raises(NotPlanned, match="no such kiln"):
        note_kiln(day, "k9", on=True, by=teacher)


def test_a_figure_of_the_shelf_that_changes_the_charge_of_an_invested_flask_is_said(day, student, teacher):
    """The specific gravity is mended between two plans: every later plan names both charges."""
    handed_in(day, student)
    before = make_plan(day, by=teacher).file["flasks"][0]["charge_g"]
    fix_flask(day, "A", Flask.State.INVESTED, by=teacher)
    assert "charge-changed" not in {one["id"] for one in make_plan(day, by=teacher).file["cautions"]}
    day.alloys.model.objects.filter(key="sterling").update(specific_gravity=10.8)
    for _again in range(2):
        plan = make_plan(day, by=teacher)
        now = plan.file["flasks"][0]["charge_g"]
        (said,) = [one["text"] for one in plan.file["cautions"] if one["id"] == "charge-changed"]
        assert (
            now > before
            and f"It was {before:g} g when the flask was invested. Today's figures make it {now:g} g." in said
        )
