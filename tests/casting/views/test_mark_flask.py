"""A flask on the bench: marked invested, then poured, set back, and kept by every later plan."""

import datetime as dt
import re
from html import unescape

import pytest
from django.urls import reverse
from django.utils import timezone

from casting.models import Flask, StepRecord, WaxHold
from casting.selectors.day_file import day_file_of, is_outdated
from casting.services.flasks import note_kiln
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in, typed


@pytest.fixture
def plan(day, student, teacher):
    handed_in(day, student)
    return make_plan(day, by=teacher)


def mark(client, plan, state, label="A", revision=None, **more):
    address = reverse("mark_flask", args=[plan.day_id, label])
    return client.post(address, {"state": state, "revision": revision or plan.revision, **more}, follow=True)


def pour(client, plan, label="A"):
    """Say that a flask is poured now, long before its pour and out of a kiln that nobody noted on."""
    now = timezone.localtime(timezone.now(), plan.day.course.school.tz)
    StepRecord.objects.filter(day=plan.day, do="mix").update(done_at=now - dt.timedelta(hours=3))
    return mark(client, plan, "poured", label, at=f"{now:%Y-%m-%dT%H:%M}")


def card_of(page, label="A"):
    """The words of a flask's card, its buttons among them."""
    card = re.search(rf'<article class="card" id="flask-{label}">.*?</article>', page.content.decode(), re.DOTALL)
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", card.group()))


def state_of(plan, label="A"):
    return plan.day.flasks.get(label=label).state


def test_a_flask_is_invested_then_poured_and_each_press_is_undone(plan, teacher, teacher_client):
    page = mark(teacher_client, plan, "invested")
    assert page.redirect_chain[0][0].endswith("#flask-A")
    assert f", {teacher.name}. Every later plan keeps this flask as it is." in card_of(page)
    assert "A is poured" in card_of(page) and "Undo: A is not invested" in card_of(page)
    assert "A is invested" not in card_of(page)
    pour(teacher_client, plan)
    mark(teacher_client, plan, "poured")  # Pressed twice, noted once.
    assert state_of(plan) == Flask.State.POURED
    assert set(StepRecord.objects.values_list("do", "what", "by")) == {
        ("mix", "A", teacher.pk),
        ("pour", "A", teacher.pk),
    }
    assert "Undo: A is not poured" in card_of(mark(teacher_client, plan, "poured"))
    mark(teacher_client, plan, "invested")
    assert "A is invested" in card_of(mark(teacher_client, plan, "planned"))
    assert (state_of(plan), StepRecord.objects.count()) == (Flask.State.PLANNED, 0)


def test_a_pour_long_before_its_time_out_of_a_cold_kiln_is_asked_about_once(plan, teacher, teacher_client):
    mark(teacher_client, plan, "invested")
    asked = mark(teacher_client, plan, "poured")
    words = card_of(asked)
    assert asked.status_code == 422 and state_of(plan) == Flask.State.INVESTED
    assert (
        "is on, and flask A is to come out of it." in words and " earlier. If flask A is poured all the same" in words
    )
    assert "Yes, A was poured at" in words and "A was poured then" in words
    # Nothing is filled in for the teacher, and nothing is no answer.
    assert 'name="at" required' in asked.content.decode()
    assert "Write the day and the time it was poured." in mark(teacher_client, plan, "poured", at="").content.decode()
    assert state_of(plan) == Flask.State.INVESTED
    page = pour(teacher_client, plan)
    assert state_of(plan) == Flask.State.POURED and f", {teacher.name}." in card_of(page)
    assert "A was poured at" in card_of(page) and "Correct the time" in card_of(page)


def test_a_pour_at_its_time_out_of_a_kiln_that_is_on_is_not_asked_about(plan, teacher, teacher_client, monkeypatch):
    mark(teacher_client, plan, "invested")
    note_kiln(plan.day, plan.file["flasks"][0]["kiln"], on=True, by=teacher)
    in_20_min = timezone.now() + dt.timedelta(minutes=20)
    monkeypatch.setattr("casting.services.poured._planned", lambda plan, label: in_20_min)
    page = mark(teacher_client, plan, "poured")
    assert page.status_code == 200 and "all the same" not in card_of(page)
    assert state_of(plan) == Flask.State.POURED and plan.day.steps_done.get(do="pour").by == teacher


def test_when_it_was_poured_is_corrected_and_who_did_it_is_kept(plan, teacher, teacher_client, other_teacher_client):
    correct = reverse("poured_at", args=[plan.day_id, "A"])
    zone = plan.day.course.school.tz

    def said(at):
        typed_at = {"at": f"{timezone.localtime(at, zone):%Y-%m-%dT%H:%M}"}
        return unescape(teacher_client.post(correct, typed_at, follow=True).content.decode())

    now = timezone.now()
    assert "Flask A is not poured. Mark it as poured first." in said(now)
    mark(teacher_client, plan, "invested")
    pour(teacher_client, plan)
    first = plan.day.steps_done.get(do="pour").done_at
    assert "Flask A cannot have been poured on " in said(now + dt.timedelta(minutes=5))
    # Invested three hours ago.
    assert ": it was invested on " in said(now - dt.timedelta(hours=4))
    assert other_teacher_client.post(correct, {"at": "2027-01-01T10:00"}).status_code == 404
    assert plan.day.steps_done.get(do="pour").done_at == first
    an_hour_ago = (now - dt.timedelta(hours=1)).replace(second=0, microsecond=0)
    said(an_hour_ago)
    step = plan.day.steps_done.get(do="pour")
    assert (step.done_at, step.by) == (an_hour_ago, teacher)


def test_the_next_plan_leaves_it_as_it_is(plan, student, teacher, teacher_client):
    mark(teacher_client, plan, "invested")
    handed_in(plan.day, student)
    after = make_plan(plan.day, by=teacher)
    assert (plan.day_values["fixed"], after.day_values["fixed"]) == ([], ["A"])
    kept = next(flask for flask in after.file["flasks"] if flask["label"] == "A")
    assert kept["waxes"] == plan.file["flasks"][0]["waxes"] and len(after.file["flasks"]) == 2
    mark(teacher_client, after, "planned")
    assert '"fixed": []' in day_file_of(plan.day)


def test_a_student_neither_takes_back_nor_changes_what_is_invested(plan, student, student_client, teacher_client):
    wax, free = plan.day.waxes.get(), handed_in(plan.day, student)
    mark(teacher_client, plan, "invested")
    listed = student_client.get(reverse("my_waxes")).content.decode()
    offered = {one.pk: f'"{reverse("change_wax", args=[one.pk])}"' in listed for one in (wax, free)}
    assert offered == {wax.pk: False, free.pk: True}
    said = f"Wax {wax.tag} is invested in flask A and stays as it is. Ask your teacher."
    changed = typed(plan.day, weight="3.3", version="1", later="1")
    assert "Filled: to change it, ask your teacher." in listed
    for name, values in (("withdraw_wax", {"version": "1"}), ("change_wax", changed)):
        page = student_client.post(reverse(name, args=[wax.pk]), values, follow=True)
        assert said in page.content.decode()
    # Whoever comes by an old link reads it before anything is typed.
    opened = student_client.get(reverse("change_wax", args=[wax.pk])).content.decode()
    assert said in opened and 'name="weight"' not in opened
    wax.refresh_from_db()
    assert (wax.version, wax.withdrawn_at) == (1, None)
    student_client.post(reverse("withdraw_wax", args=[free.pk]), {"version": "1"})
    mark(teacher_client, plan, "planned")
    student_client.post(reverse("withdraw_wax", args=[wax.pk]), {"version": "1"})
    assert not plan.day.waxes.standing().exists()


def test_a_plan_is_not_old_because_its_work_is_done(plan, teacher_client):
    assert "have changed since" not in mark(teacher_client, plan, "invested").content.decode()
    assert not is_outdated(plan)


def test_nothing_is_poured_that_was_not_invested(plan, teacher_client):
    page = mark(teacher_client, plan, "poured").content.decode()
    assert "Flask A is not invested yet, so it cannot be poured. Mark it as invested first." in page
    assert state_of(plan) == Flask.State.PLANNED
    mark(teacher_client, plan, "invested")
    pour(teacher_client, plan)
    page = mark(teacher_client, plan, "planned").content.decode()
    assert "Flask A is poured. Set it back to invested first." in page
    assert state_of(plan) == Flask.State.POURED


def test_a_flask_of_an_older_plan_is_looked_at_again(plan, teacher, teacher_client):
    make_plan(plan.day, by=teacher)
    page = mark(teacher_client, plan, "invested").content.decode()
    assert "Plan revision 2 was made in the meantime. Check flask A in it, then press again." in page
    assert state_of(plan) == Flask.State.PLANNED


def test_what_is_no_flask_and_no_state_is_refused(plan, teacher_client):
    assert "The plan has no flask Q." in mark(teacher_client, plan, "invested", label="Q").content.decode()
    assert mark(teacher_client, plan, "broken").status_code == 404
    assert mark(teacher_client, plan, "invested", revision="x").status_code == 404
    assert state_of(plan) == Flask.State.PLANNED


def hold(client, wax, label):
    answer = client.post(reverse("hold_wax", args=[wax.day_id, wax.pk]), {"label": label})
    return answer.status_code, unescape(answer.content.decode())


@pytest.mark.parametrize("state", ["invested", "poured"])
def test_what_stands_in_plaster_is_held_to_no_other_flask_and_nothing_to_it(plan, student, teacher_client, state):
    wax, free = plan.day.waxes.get(), handed_in(plan.day, student)
    mark(teacher_client, plan, "invested")
    if state == "poured":
        pour(teacher_client, plan)
    status, page = hold(teacher_client, wax, "b")
    assert status == 422 and 'value="B"' in page
    said = f"Wax {wax.tag} is not kept in a flask. You want it in flask B, but it is in flask A, which is {state} and"
    assert said in page and f"undo that on the page Flasks, then keep {wax.tag} again." in page
    status, page = hold(teacher_client, free, "A")
    assert (
        status == 422
        and f"Wax {free.tag} is not kept in a flask. Flask A is {state} without it. Choose another flask" in page
    )
    assert not WaxHold.objects.exists()
    assert [hold(teacher_client, wax, "A")[0], hold(teacher_client, free, "B")[0]] == [302, 302]
    make_plan(plan.day, by=plan.made_by)


def test_a_flask_is_not_marked_against_a_wax_that_is_held(plan, student, teacher_client):
    wax, free = plan.day.waxes.get(), handed_in(plan.day, student)
    hold(teacher_client, wax, "B")
    page = mark(teacher_client, plan, "invested").content.decode()
    assert f"Wax {wax.tag} is in flask A, but you keep it in flask B." in page
    hold(teacher_client, wax, "")
    hold(teacher_client, free, "A")
    page = mark(teacher_client, plan, "invested").content.decode()
    assert f"You keep wax {free.tag} in flask A, but it is not in it." in page
    assert state_of(plan) == Flask.State.PLANNED
    hold(teacher_client, free, "")
    mark(teacher_client, plan, "invested")
    assert state_of(plan) == Flask.State.INVESTED


@pytest.mark.parametrize("who", ["student_client", "classmate_client", "other_teacher_client", "stranger_client"])
def test_only_the_school_s_teacher_marks_it(plan, who, request):
    client = request.getfixturevalue(who)
    answer = client.post(reverse("mark_flask", args=[plan.day_id, "A"]), {"state": "invested", "revision": 1})
    assert answer.status_code == (404 if who == "other_teacher_client" else 302)
    assert state_of(plan) == Flask.State.PLANNED
