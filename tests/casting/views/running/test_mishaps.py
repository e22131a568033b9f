"""The presses of "Something went wrong": what they answer, what they refuse, and who may."""

import re

import pytest
from django.urls import reverse
from django.utils import timezone

from casting.models import CastingDay, FlaskMishap, Recast
from school.models import Role
from tests.casting.account_days import invest
from tests.casting.views.running.test_pours import words_of
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory


@pytest.fixture
def labels(board, teacher):
    return invest(board, teacher)


@pytest.fixture
def post(teacher_client, board):
    def press(client=teacher_client, **given):
        return client.post(reverse("mishap", args=[board.pk]), given, follow=True)

    return press


def test_it_says_what_to_do_now_what_follows_and_what_becomes_of_the_pieces(post, labels, board):
    words = words_of(post(what=labels[0], met="leaked-metal"))
    assert f"What went wrong {labels[0]} leaked" in words and "Imre Valdane" in words
    assert words.index("Vacuum off.") < words.index("Never water") < words.rindex(f"Pours now: {labels[1]} ")
    tag = Recast.objects.order_by("wax__tag").first().wax.tag
    assert f"{tag} Sunniva Okoro to be looked at will do cast again" in words
    words = words_of(post(what=tag, met="piece-again"))
    assert f"{tag} Sunniva Okoro to be cast again Look at {tag} again" in words
    words = words_of(post(what=labels[0], met="leaked-undo"))
    assert "What went wrong" not in words and f"{labels[0]} is poured" in words and not Recast.objects.exists()


def test_the_questions_stand_on_both_pages_with_what_to_do_before_anything_is_sent(teacher_client, labels, board):
    page = teacher_client.get(reverse("pours", args=[board.pk])).content.decode()
    assert re.findall(r'name="met" value="(\w+-\w+)"', page) == [
        "leaked-metal", "leaked-none", "cracked-unpoured", "cracked-metal", "cracked-none", "blown_out-metal",
        "blown_out-none", "frozen-metal", "frozen-none", "late-late_10", "late-late_20", "late-late_40",
        "power-hot", "power-cold", "misrun-metal", "misrun-none",
    ]  # fmt: skip
    assert re.search(rf'value="{labels[0]}"[^>]* checked', page)
    kiln = teacher_client.get(reverse("kiln_room", args=[board.pk])).content.decode()
    assert set(re.findall(r'name="met" value="(\w+)-', kiln)) == {"power", "late", "cracked"}


def test_from_the_kiln_room_all_flasks_at_once_and_back_there(post, labels, board):
    kiln = board.plans.get().file["firings"][0]["kiln"]
    answer = post(what=",".join(labels), met="power-cold", kiln=kiln)
    assert f"/kiln-room/?kiln={kiln}" in answer.redirect_chain[-1][0]
    assert FlaskMishap.objects.count() == len(labels) and "Switch it off." in words_of(answer)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "Choose what went wrong and what is left of it."),
        ({"what": "A", "met": "leaked"}, "Choose what went wrong and what is left of it."),
        ({"what": "", "met": "leaked-none"}, "Choose the flask with which something went wrong."),
        ({"what": "<b>" * 200, "met": "leaked-none"}, "The plan has no flask <b>."),
        ({"what": "Q9", "met": "piece-again"}, "Nobody noted that anything went wrong with Q9."),
        ({"what": "A", "met": "leaked-none", "at": "2099-01-01T00:00:00Z"}, "Set this tablet's clock"),
    ],
)
def test_bad_input_is_answered_with_a_sentence_and_notes_nothing(post, labels, given, said):
    answer = post(**given)
    assert answer.status_code == 200 and said in answer.content.decode().replace("&lt;", "<").replace(
        "&gt;", ">"
    ).replace("&#x27;", "'")
    assert not FlaskMishap.objects.exists() and not Recast.objects.exists()


def test_a_shut_day_says_so_and_shows_no_questions(post, labels, board, teacher_client):
    CastingDay.objects.filter(pk=board.pk).update(ended_at=timezone.now())
    answer = post(what=labels[0], met="leaked-none")
    assert "This casting day is closed. It stays as it is." in words_of(answer)
    assert "Something went wrong" not in words_of(answer) and not FlaskMishap.objects.exists()


def test_a_helper_may_note(post, labels, board, teacher):
    helper = PersonFactory(school=board.course.school, role=Role.HELPER)
    post(client_of_teacher(helper), what=labels[0], met="late-late_10")
    assert FlaskMishap.objects.get().by == helper
