"""The board's page: seen by helpers, moved by teachers, and nothing changed by what is forged."""

import json
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from casting.models import Alloy, BoardStep, Flask, Plan, Search, WaxHold
from casting.papers.printing import papers_of
from casting.papers.registry import PAPERS
from casting.services.flasks import fix_flask
from casting.services.prints import mark_printed
from casting.services.waxes import withdraw
from school.models import Role
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory


def address(day, name="board"):
    return reverse(name, args=[day.pk])


def tag(day):
    return day.waxes.order_by("tag").first().tag


def rows(day):
    return [list(kind.objects.values()) for kind in (Plan, BoardStep, WaxHold, Flask)]


def test_a_helper_looks_and_moves_nothing(planned, school):
    helper = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    page = helper.get(address(planned)).content.decode()
    assert "3 waxes in 1 flask" in page and "data-moves" not in page and 'id="undo"' not in page
    before = rows(planned)
    assert helper.post(address(planned, "board_step"), {"do": "out", "tag": tag(planned)}).status_code == 403
    assert rows(planned) == before


def test_a_plain_form_carries_and_undoes(planned, teacher_client):
    wax = tag(planned)
    answer = teacher_client.post(
        address(planned, "board_step"), {"do": "out", "tag": wax, "revision": "1"}, follow=True
    )
    assert answer.redirect_chain == [(f"{address(planned)}?wax={wax}#hand", 302)]
    page = answer.content.decode()
    assert "2 waxes in 1 flask" in page and f"Undo: {wax} left out" in page
    page = teacher_client.post(address(planned, "board_step"), {"do": "undo", "revision": "2"}, follow=True)
    assert "3 waxes in 1 flask" in page.content.decode()


def test_the_second_choice_of_the_wax_in_hand_is_taken_by_one_press(day, student, school, teacher, teacher_client):
    wax = handed_in(day, student, second_alloy=day.alloys.get(key="si-bronze"), note="no polish")
    make_plan(day, by=teacher)
    in_hand = {"wax": wax.tag}
    page = teacher_client.get(address(day), in_hand).content.decode()
    assert "“no polish”" in page and f"Cast {wax.tag} in silicon bronze" in page
    helper = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    page = helper.get(address(day), in_hand).content.decode()
    assert "would also take silicon bronze" in page and f"Cast {wax.tag}" not in page
    press = reverse("take_second", args=[day.pk, wax.pk])
    page = teacher_client.post(press, {"version": "1", "page": "board"}, follow=True).content.decode()
    assert page.count("is now to be cast in silicon bronze") == 1 and "Since revision 1:" in page


FORGED = {
    "a foreign wax": {"do": "out", "tag": "ZZ"},
    "a foreign flask": {"do": "carry", "to": "Q"},
    "no step": {"do": "burn"},
    "no revision": {"do": "out", "revision": ""},
    "a revision to come": {"do": "out", "revision": "99"},
    "an old revision": {"do": "out", "revision": "0"},
    "a position as text": {"do": "spot", "x_mm": "left", "y_mm": "1"},
    "NaN": {"do": "spot", "x_mm": "NaN", "y_mm": "1"},
    "endless": {"do": "spot", "x_mm": "1e999", "y_mm": "1"},
    "a turn as text": {"do": "turn", "shift": "a bit"},
    "an unknown size": {"do": "carry", "to": "size:9x9"},
    "nothing to undo": {"do": "undo"},
    "nothing to do again": {"do": "redo"},
}


@pytest.mark.parametrize("name", FORGED)
def test_what_is_forged_is_refused_with_a_sentence_and_changes_nothing(name, planned, teacher_client):
    before = rows(planned)
    posted = {"revision": "1", "tag": tag(planned)} | FORGED[name]
    for headers in ({}, {"HX-Request": "true"}):
        answer = teacher_client.post(address(planned, "board_step"), posted, headers=headers)
        assert answer.status_code == 422
        said = answer.context["chosen"].refused
        assert said.endswith(".") and len(said) > 20
    assert rows(planned) == before


def test_a_poured_flask_stays(planned, teacher, teacher_client):
    fix_flask(planned, "A", "invested", by=teacher)
    Flask.objects.update(state="poured")
    before = rows(planned)
    for move in ({"do": "out"}, {"do": "carry", "to": "size:64x64"}, {"do": "spot", "x_mm": "1", "y_mm": "1"}):
        answer = teacher_client.post(address(planned, "board_step"), {"revision": "1", "tag": tag(planned)} | move)
        assert answer.status_code == 422
        assert "is on the bench and stays as it is" in answer.context["chosen"].refused
    assert rows(planned) == before


def test_another_school_has_no_such_board(planned, other_teacher_client):
    for name in ("board", "board_spot"):
        assert other_teacher_client.get(address(planned, name)).status_code == 404
    for name in ("board_step", "board_rest", "board_offer"):
        assert other_teacher_client.post(address(planned, name), {"revision": "1"}).status_code == 404


def test_the_script_asks_what_is_in_the_way(planned, teacher_client):
    given = {"wax": tag(planned), "flask": "A", "x_mm": "60", "y_mm": "0", "turn_deg": "0"}
    said = json.loads(teacher_client.get(address(planned, "board_spot"), given).content)
    assert said["takes"] is False and "mm from the wall" in said["words"]
    for wrong in ({"x_mm": "NaN"}, {"wax": "ZZ"}, {"flask": "Q"}):
        said = json.loads(teacher_client.get(address(planned, "board_spot"), given | wrong).content)
        assert said["takes"] is False and said["words"].endswith(".")
    assert json.loads(teacher_client.get(address(planned, "board_spot")).content) == {"takes": False, "words": ""}


def test_the_script_asks_for_the_hand_and_for_news_alone(planned, teacher, teacher_client):
    htmx = {"HX-Request": "true"}
    hand = teacher_client.get(address(planned), {"wax": tag(planned), "part": "hand"}, headers=htmx).content.decode()
    assert "data-answer" in hand and "<svg" not in hand
    assert teacher_client.get(address(planned), {"seen": "1"}, headers=htmx).status_code == 204
    teacher_client.post(address(planned, "board_step"), {"do": "out", "tag": tag(planned), "revision": "1"})
    news = teacher_client.get(address(planned), {"seen": "1"}, headers=htmx).content.decode()
    assert f"{teacher.name}: {tag(planned)} left out." in news and "<svg" not in news


def test_the_computer_does_the_rest_around_what_is_kept(day, student, teacher_client):
    waxes = [handed_in(day, student) for _nth in range(3)]
    page = teacher_client.get(address(day)).content.decode()
    assert "3 waxes, none in a flask" in page and "Let the computer do the rest" in page
    step = {"do": "carry", "tag": waxes[0].tag, "to": "size:102x102", "revision": "0"}
    assert teacher_client.post(address(day, "board_step"), step).status_code == 302
    answer = teacher_client.post(address(day, "board_rest"), {"do": "rest"}, follow=True)
    assert "3 waxes in" in answer.content.decode()
    plan = Plan.objects.latest_of(day)
    home = {wax["key"]: flask["label"] for flask in plan.file["flasks"] for wax in flask["waxes"]}
    assert home[waxes[0].tag] == "A" and WaxHold.objects.get().label == "A"
    teacher_client.post(address(day, "board_rest"), {"do": "again"}, follow=True)
    assert not WaxHold.objects.exists()


def test_a_flask_is_turned_over_and_seen_from_the_side(planned, teacher_client):
    over = teacher_client.get(address(planned), {"flask": "A", "view": "button"}).content.decode()
    assert "Flask A from the button side" in over and "data-spots" not in over
    side = teacher_client.get(address(planned), {"flask": "A", "view": "side"}).content.decode()
    assert "Flask A from the side, button below" in side and "mm above" in side


def test_a_board_of_many_waxes_asks_the_database_no_more(day, student, teacher, teacher_client):
    handed_in(day, student)
    make_plan(day, teacher)
    counts = []
    for more in (2, 6):
        for _nth in range(more):
            handed_in(day, student)
        make_plan(day, teacher)
        with CaptureQueriesContext(connection) as queries:
            teacher_client.get(address(day), {"wax": tag(day)})
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_a_shut_day_shows_its_board_without_buttons(planned, teacher, teacher_client):
    planned.cancelled_at, planned.cancelled_by, planned.cancelled_why = planned.pour_at, "Imre", "no gas"
    planned.save()
    page = teacher_client.get(address(planned)).content.decode()
    assert "This casting day is cancelled" in page and "data-moves" not in page
    before = rows(planned)
    answer = teacher_client.post(address(planned, "board_step"), {"do": "out", "tag": tag(planned), "revision": "1"})
    assert "This casting day is cancelled" in answer.context["chosen"].refused and rows(planned) == before


def test_what_would_save_a_flask_or_an_hour_is_asked_for_on_the_board(board, school, teacher_client):
    page = teacher_client.get(address(board)).content.decode()
    assert 'href="?asks=saves"' in page and 'id="saves"' not in page
    page = teacher_client.get(address(board), {"asks": "saves"}).content.decode()
    assert 'id="saves"' in page and "No plan is known that ends earlier" in page
    answer = teacher_client.post(address(board, "saves"), {"back": "board"}, follow=True)
    assert answer.redirect_chain == [(f"{address(board)}?asks=saves#saves", 302)]
    assert "single changes saves a flask" in answer.content.decode()
    # A helper is not asked what to change.
    helper = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    assert 'id="saves"' not in helper.get(address(board), {"asks": "saves"}).content.decode()


def test_another_metal_that_would_save_a_flask_stands_with_its_price(planned, teacher, teacher_client):
    for key, price in (("gold-14k", 62), ("sterling", 1)):
        Alloy.objects.filter(school=planned.course.school, key=key).update(price_per_g=price)
    plan, wax = make_plan(planned, teacher), tag(planned)
    save = {"kind": "metal", "what": wax, "by": 0, "to": "gold-14k", "flasks": 1, "left_out": 0, "cost": 1.0}
    save["last_pour_at"] = plan.file["flasks"][0]["out_at"]
    found = json.dumps({"passed": 1, "of": 1, "ruled_out": 0, "planned": 1, "done": True, "saves": [save]})
    kept = {"kind": Search.Kind.SAVING, "state": Search.State.KEPT, "found": found}
    Search.objects.create(day=planned, plan=plan, begun_by=teacher, token="t", pid=0, **kept)
    page = teacher_client.get(address(planned), {"asks": "saves"}).content.decode()
    assert re.search(
        rf"{wax} \(.*\) in 14k yellow.* instead of Sterling silver.*its metal costs [0-9.]+\sUSD more", page
    )


def test_a_withdrawal_is_told_on_the_board_by_who_and_which_wax(planned, student, teacher_client):
    wax = planned.waxes.order_by("tag").first()
    assert "since-plan" not in teacher_client.get(address(planned)).content.decode()
    withdraw(wax, by=student, version=1)
    for name in ("board", "flasks"):
        assert f"{wax.tag}, {student.called}: withdrawn" in teacher_client.get(address(planned, name)).content.decode()


def test_what_is_to_be_printed_again_stands_on_the_board_and_beside(planned, teacher, teacher_client):
    ask, htmx = {"part": "papers"}, {"HX-Request": "true"}
    assert "part=papers" not in teacher_client.get(address(planned)).content.decode()
    papers = papers_of(planned, Plan.objects.latest_of(planned), "http://testserver", timezone.now())
    cards = next(paper for paper in PAPERS if paper.key == "flask-cards")
    mark_printed(planned, [papers.page(cards)], teacher)
    said = teacher_client.get(address(planned), ask, headers=htmx).content.decode()
    assert "Every printed paper is current." in said
    teacher_client.post(address(planned, "board_step"), {"do": "out", "tag": tag(planned), "revision": "1"})
    assert "part=papers" in teacher_client.get(address(planned)).content.decode()
    said = teacher_client.get(address(planned), ask, headers=htmx).content.decode()
    assert "To print again: Flask cards." in said.replace("\n", " ") and "<s>" in said and "<svg" not in said
    beside = teacher_client.get(address(planned, "board_beside")).content.decode()
    assert "part=papers" in beside and "Printed from “Revision 1”: Flask cards." in beside


def test_the_plan_that_was_asked_for_comes_onto_the_board_by_itself(planned, teacher, teacher_client):
    htmx, wax = {"HX-Request": "true"}, tag(planned)
    row = Search.objects.get(kind=Search.Kind.PLAN)
    Search.objects.filter(pk=row.pk).update(state=Search.State.SEARCHING)

    def waits(seen, **more):
        return teacher_client.get(address(planned), {"waits": seen} | more, headers=htmx)

    assert waits("1").status_code == 204
    Search.objects.filter(pk=row.pk).update(state=Search.State.KEPT)
    came = waits("0", wax=wax)
    assert came.headers["HX-Retarget"] == "#board" and 'data-revision="1"' in came.content.decode()
    assert came.context["chosen"].wax == wax
    # Somebody else's step is told and moves nothing; a search that found nothing says so.
    teacher_client.post(address(planned, "board_step"), {"do": "out", "tag": wax, "revision": "1"})
    assert waits("1").status_code == 204
    Search.objects.filter(pk=row.pk).update(state=Search.State.FAILED)
    assert waits("2").headers["HX-Retarget"] == "#board"
