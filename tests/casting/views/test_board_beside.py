"""Two plans side by side: seen by helpers, taken by teachers, and nothing changed by what is forged."""

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from casting.models import BoardStep, CastingDay, Plan
from casting.papers.sheets.day_plan import day_plan_html
from casting.papers.sheets.mix import mix_html
from casting.services.board import take_step
from casting.services.board_moves import Move
from school.models import Role
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory


@pytest.fixture
def carried(day, student, teacher):
    """Three bands planned by the computer, one of them left out by hand then."""
    tags = [handed_in(day, student).tag for _nth in range(3)]
    make_plan(day, teacher)
    take_step(day, Move("out", tag=tags[0]), revision=1, by=teacher)
    return day, tags


def beside(day, name="board_beside"):
    return reverse(name, args=[day.pk])


def test_the_board_stands_above_the_computers_plan_with_what_differs_marked(carried, teacher_client, teacher):
    day, tags = carried
    page = teacher_client.get(beside(day)).content.decode()
    assert page.index("On the board: revision 2") < page.index(">Revision 1<")
    assert f"In no flask: {tags[0]}" in page and 'class="marked"' in page
    assert "planned by the computer, " in page and teacher.name in page
    assert 'name="number" value="1"' in page


def test_an_only_plan_has_none_beside_it(day, student, teacher, teacher_client):
    handed_in(day, student)
    assert teacher_client.get(beside(day)).url == reverse("board", args=[day.pk])
    make_plan(day, teacher)
    page = teacher_client.get(beside(day)).content.decode()
    assert "There is only one plan of this day so far." in page and "Take this one" not in page


def test_an_earlier_revision_is_brought_back_with_the_same_bytes(carried, teacher_client):
    day, _tags = carried
    posted = {"number": "1", "revision": "2"}
    page = teacher_client.post(beside(day, "board_bring_back"), posted, follow=True).content.decode()
    assert "Undo: revision 1 brought back" in page and "3 waxes in 1 flask" in page
    first, third = (Plan.objects.get(day=day, revision=nth) for nth in (1, 3))
    assert (first.day_file, first.plan_file) == (third.day_file, third.plan_file)


FORGED = {
    "itself": {"number": "2"},
    "one to come": {"number": "9"},
    "none": {"number": ""},
    "text": {"number": "first"},
    "an old board": {"number": "1", "revision": "1"},
    "no board": {"number": "1", "revision": "NaN"},
}


SAID = dict.fromkeys(("itself", "one to come"), "no earlier revision [29] of its plan. Choose one of the list")
SAID |= dict.fromkeys(("none", "text", "no board"), "is no revision of a plan")
SAID["an old board"] = "left out. The board shows it; do your step again"


@pytest.mark.parametrize("name", FORGED)
def test_what_is_forged_is_refused_with_a_sentence_and_changes_nothing(name, carried, teacher_client):
    day, _tags = carried
    before = [list(kind.objects.values()) for kind in (Plan, BoardStep)]
    posted = {"revision": "2"} | FORGED[name]
    page = teacher_client.post(beside(day, "board_bring_back"), posted, follow=True).content.decode()
    assert re.search(SAID[name], page)
    assert [list(kind.objects.values()) for kind in (Plan, BoardStep)] == before
    assert teacher_client.get(beside(day), {"with": FORGED[name]["number"]}).status_code == 200


def test_many_revisions_ask_the_database_no_more(carried, teacher, teacher_client):
    day, tags = carried

    def asked():
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert teacher_client.get(beside(day), {"with": "1"}).status_code == 200
        return len(queries)

    few = asked()
    for nth in range(4):
        take_step(day, Move("back" if nth % 2 == 0 else "out", tag=tags[0]), revision=2 + nth, by=teacher)
    assert asked() == few


def test_each_accident_has_its_button_and_a_helper_has_none(carried, school, teacher_client):
    day, tags = carried
    helper = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    board = reverse("board", args=[day.pk])
    for given, buttons in (
        ({}, ["place"]),
        ({"wax": tags[1]}, ["broke", "withdraw"]),
        ({"flask": "A"}, ["leak", "spill"]),
    ):
        page, theirs = (client.get(board, given).content.decode() for client in (teacher_client, helper))
        assert all(f'name="do" value="{button}"' in page for button in buttons)
        assert not any(f'value="{button}"' in theirs for button in buttons)


def test_what_changed_is_told_by_flask(carried, teacher_client):
    day, tags = carried
    page = teacher_client.get(reverse("board", args=[day.pk])).content.decode()
    assert "What changed since revision 1" in page and f"\u2212{tags[0]}" in page
    teacher_client.post(reverse("board_step", args=[day.pk]), {"do": "broke", "tag": tags[1], "revision": "2"})
    assert f"Undo: {tags[1]} broke" in teacher_client.get(reverse("board", args=[day.pk])).content.decode()


def test_a_bowl_that_spills_too_late_is_refused_with_one_press_that_moves_the_first_pour(carried, teacher_client):
    day, _tags = carried
    soon = timezone.now() + timedelta(hours=1)
    CastingDay.objects.filter(pk=day.pk).update(pour_at=soon)
    step = reverse("board_step", args=[day.pk])
    refused = teacher_client.post(step, {"do": "spill", "label": "A", "revision": "2"})
    page = refused.content.decode()
    assert refused.status_code == 422 and "The earliest first pour is" in page and "It is not noted yet" in page
    assert 'name="later" value="1"' in page and "Note it, and pour first at" in page
    teacher_client.post(step, {"do": "spill", "label": "A", "revision": "2", "later": "1"})
    plan = Plan.objects.latest_of(day)
    assert plan.revision == 3 and plan.day.pour_at > soon and plan.file["totals"]["spilled_powder_g"] > 0


def test_a_spilled_bowl_is_told_on_board_day_plan_and_mix_sheet(carried, teacher_client):
    day, _tags = carried
    board, day_plan = (reverse(name, args=[day.pk]) for name in ("board", "day_plan"))
    assert "Mixed anew." not in teacher_client.get(day_plan).content.decode()
    teacher_client.post(reverse("board_step", args=[day.pk]), {"do": "spill", "label": "A", "revision": "2"})
    page = teacher_client.get(board, {"flask": "A"}).content.decode()
    assert "Noted: spilled at " in page and "It spilled once more" in page and "Undo: bowl of " in page
    plan = Plan.objects.latest_of(day)
    for told in (
        teacher_client.get(day_plan).content.decode(),
        *(of(job_of(plan)) for of in (mix_html, day_plan_html)),
    ):
        assert "Spilled at " in told and "g water. Mixed anew." in told
