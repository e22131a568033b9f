"""The page at the torch: the flask in turn, its steps, the checks of the day, and what waits after a pour."""

import datetime as dt
import re
from html import unescape

import pytest
from django.urls import reverse
from django.utils import timezone

from casting.models import CastingDay, Flask, PaperPrinted, Plan
from casting.services.flasks import fix_flask, note_kiln
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory

GATES = ("dry", "gauge", "button")


def words_of(answer):
    main = answer.content.decode().partition("<main")[2]
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]*>", " ", main)))


@pytest.fixture
def pressed(teacher_client, board):
    def press(do, what, **more):
        answer = teacher_client.post(reverse("tick", args=[board.pk]), {"do": do, "what": what, **more}, follow=True)
        return answer.status_code, words_of(answer)

    return press


@pytest.fixture
def clock(monkeypatch):
    return lambda at: monkeypatch.setattr(timezone, "now", lambda: at)


@pytest.fixture
def at_torch(board, teacher, clock):
    """The moment of the first pour, flasks invested and kilns on: the labels in order, and when it is."""
    plan = Plan.objects.latest_of(board)
    for row in plan.file["flasks"]:
        fix_flask(board, row["label"], Flask.State.INVESTED, by=teacher)
    for row in plan.file["firings"]:
        clock(dt.datetime.fromisoformat(row["on_at"]))
        note_kiln(board, row["kiln"], on=True, by=teacher)
    rows = sorted(plan.file["flasks"], key=lambda row: row["out_at"])
    first = dt.datetime.fromisoformat(rows[0]["out_at"])
    clock(first)
    return [row["label"] for row in rows], first


def tick_gates(pressed):
    for gate in GATES:
        pressed("gate", gate, who="Nadia Ferro")


def test_the_flask_in_turn_stands_there_with_its_figures(at_torch, board, teacher_client):
    labels, first = at_torch
    page = teacher_client.get(reverse("pours", args=[board.pk]))
    rows = {one["label"]: one for one in Plan.objects.latest_of(board).file["flasks"]}
    words, row = words_of(page), rows[labels[0]]
    local = first.astimezone(board.course.school.tz)
    assert re.findall(r'data-turn="(.)"', page.content.decode()) == labels
    assert f"{row['charge_g']:.1f} g" in words and f"{local:%H:%M}" in words
    assert "min late" not in words.partition("Something went wrong")[0]
    assert "Flux in, metal melting" in words and f"{labels[0]} is poured" in words


def test_nothing_leaves_the_kiln_before_the_checks_are_ticked_with_a_name(at_torch, pressed, board):
    label = at_torch[0][0]
    for do in ("out", "pour"):
        status, words = pressed(do, label)
        assert status == 422 and "before the three checks of the day are ticked" in words
    assert pressed("gate", "dry", who=" ")[1].count("Write the name of whoever looked.") == 1
    tick_gates(pressed)
    assert set(board.steps_done.filter(do="gate").values_list("what", "who")) == {(g, "Nadia Ferro") for g in GATES}
    assert pressed("pour", label)[0] == 200
    assert board.states()[label] == Flask.State.POURED


def test_a_pour_begins_the_clocks_and_gives_its_place_to_the_next(at_torch, pressed, board, clock):
    labels, first = at_torch
    tick_gates(pressed)
    status, words = pressed("pour_gauge", labels[0], reads="deep")
    assert status == 422 and "is not a number" in words
    assert "Gauge at the pour: 27" in pressed("pour_gauge", labels[0], reads="27")[1]
    _status, words = pressed("pour", labels[0])
    assert "Gauge at the pour: 27" in words, "it stands with the poured flask too"
    assert f"{labels[1]} is poured" in words and "under vacuum" in words and "Poured, waiting" in words
    # The pour takes 5 min and sterling in a small flask waits 10: rules of the house and the shelf.
    quench = (first + dt.timedelta(minutes=15)).astimezone(board.course.school.tz)
    assert f"quench, not before {quench:%H:%M}" in words
    clock(first + dt.timedelta(minutes=9))
    status, words = pressed("quench", labels[0])
    assert status == 422 and "6 min too soon" in words and f"{labels[0]} is in the water all the same" in words
    clock(first + dt.timedelta(minutes=16))
    _status, words = pressed("quench", labels[0])
    assert "Out of the flask" in words and "given back to" in words


def test_a_flask_in_hand_stays_in_front_and_is_asked_about_there(at_torch, board, teacher, teacher_client):
    """Its card leads to its page, and that to here; a press or a question never puts another flask under the hand."""
    labels, _first = at_torch
    last = labels[-1]
    assert f"/pours/?flask={last}" in teacher_client.get(reverse("flasks", args=[board.pk])).content.decode()
    tick = reverse("tick", args=[board.pk]) + f"?flask={last}"
    page = teacher_client.get(reverse("pours", args=[board.pk]), {"flask": last}).content.decode()
    assert f'action="{tick}"' in page

    def in_front(answer):
        return re.findall(r'data-turn="(.)"', answer.content.decode())[0]

    for gate in GATES:
        teacher_client.post(tick, {"do": "gate", "what": gate, "who": "Nadia"})
    assert in_front(teacher_client.post(tick, {"do": "melting", "what": last}, follow=True)) == last
    for row in Plan.objects.latest_of(board).file["firings"]:
        note_kiln(board, row["kiln"], on=False, by=teacher)
    for address in (tick, reverse("tick", args=[board.pk])):
        asked = teacher_client.post(address, {"do": "pour", "what": last})
        assert in_front(asked) == last and f"Yes, {last} is poured now" in words_of(asked)
    poured = teacher_client.post(tick, {"do": "pour", "what": last, "sure": "yes"}, follow=True)
    assert board.states()[last] == Flask.State.POURED and in_front(poured) == labels[0]


def test_a_late_pour_moves_what_follows_and_names_the_papers(at_torch, pressed, board, clock, teacher, teacher_client):
    labels, first = at_torch
    tick_gates(pressed)
    plan = Plan.objects.latest_of(board)
    PaperPrinted.objects.create(day=board, key="kiln-room", revision=plan.revision, by=teacher)
    PaperPrinted.objects.create(day=board, key="mix", revision=plan.revision, by=teacher)
    clock(first + dt.timedelta(minutes=20))
    _status, words = pressed("pour", labels[0])
    planned = next(dt.datetime.fromisoformat(r["out_at"]) for r in plan.file["flasks"] if r["label"] == labels[1])
    moved = (planned + dt.timedelta(minutes=20)).astimezone(board.course.school.tz)
    assert f"Pours now: {labels[1]} {moved:%H:%M}" in words
    assert "The times on these papers are out of date: Kiln-room schedule." in words


def test_a_page_that_shows_all_already_is_sent_nothing(at_torch, pressed, board, teacher_client, clock):
    address = reverse("pours", args=[board.pk])

    def version():
        return re.search(r'data-version="([^"]*)"', teacher_client.get(address).content.decode())[1]

    first = version()
    assert teacher_client.get(address, {"version": first}).status_code == 204
    pressed("gate", "dry", who="Nadia")
    assert teacher_client.get(address, {"version": first}).status_code == 200
    second = version()
    clock(at_torch[1] + dt.timedelta(minutes=1))
    assert teacher_client.get(address, {"version": second}).status_code == 200


def test_it_asks_no_more_than_it_shows(at_torch, board, teacher_client, django_assert_max_num_queries):
    """Nineteen, one of them for photos of bases; whether the plan is out of date is told elsewhere."""
    with django_assert_max_num_queries(19):
        teacher_client.get(reverse("pours", args=[board.pk]))


def test_a_helper_ticks_and_another_school_s_teacher_does_not(at_torch, board, school, other_teacher_client):
    helper = client_of_teacher(PersonFactory(school=school, role="helper", name="Nadia Ferro"))
    address = reverse("tick", args=[board.pk])
    helper.post(address, {"do": "gate", "what": "dry", "who": "Tam"})
    assert board.steps_done.get(do="gate").by.name == "Nadia Ferro"
    assert other_teacher_client.post(address, {"do": "gate", "what": "gauge", "who": "x"}).status_code == 404


def test_without_a_plan_there_is_the_next_step(day, teacher_client):
    answer = teacher_client.get(reverse("pours", args=[day.pk]))
    assert answer.status_code == 200 and "casting/flasks/no_plan.html" in [one.name for one in answer.templates]


def test_a_shut_day_shows_its_pours_and_takes_none(at_torch, pressed, board, teacher_client):
    CastingDay.objects.filter(pk=board.pk).update(ended_at=timezone.now())
    assert "This casting day is closed." in pressed("gate", "dry", who="Nadia")[1]
    assert not board.steps_done.filter(do="gate").exists()
