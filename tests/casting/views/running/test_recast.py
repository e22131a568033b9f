"""The recast list: who sees it, who decides on it, and what it refuses."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from casting.models import CastingDay, PieceDefect, Recast
from casting.services.running.mishaps import Met, note_mishap
from school.models import Role
from tests.casting.account_days import invest
from tests.casting.views.running.test_pours import words_of
from tests.casting_factories import DayFactory
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory


@pytest.fixture
def row(planned, teacher):
    invest(planned, teacher)
    note_mishap(planned, Met("leaked", ("A",), "none"), by=teacher)
    return Recast.objects.order_by("wax__tag").first()


@pytest.fixture
def again(course):
    return DayFactory(course=course, pour_at=timezone.now() + dt.timedelta(days=30))


@pytest.fixture
def keep(teacher_client, row):
    def press(client=teacher_client, **given):
        return client.post(reverse("recast_piece", args=[row.pk]), given, follow=True)

    return press


def test_a_day_and_who_pays_are_kept_by_one_press_and_its_student_reads_when(
    keep, row, again, teacher_client, student_client
):
    words = words_of(keep(next_day=str(again.pk), pays="school", of_day="yes"))
    assert f"Kept for {row.wax.tag}." in words and "No new wax is handed in yet." in words
    row.refresh_from_db()
    assert (row.next_day, row.pays) == (again, "school")
    assert f"cast again, {row.wax.tag} of" in words_of(teacher_client.get(reverse("waxes", args=[again.pk])))
    own = words_of(student_client.get(reverse("my_waxes")))
    assert "It is cast again: " in own and "pours about" not in own
    # Nobody waits for it at the quench.
    assert "Flask A" in own and "Out of its investment" not in own and "quenched" not in own
    assert f"Hand in the new wax of {row.wax.tag}" in own
    page = student_client.get(reverse("my_waxes")).content.decode()
    assert f"{reverse('hand_in_day', args=[again.pk])}?like={row.wax_id}" in page


def test_blank_is_not_decided_and_says_so(keep, row, teacher_client):
    page = teacher_client.get(reverse("recast")).content.decode()
    assert '<option value="">not yet</option>' in page and '<option value="">not decided</option>' in page
    keep(next_day="", pays="")
    row.refresh_from_db()
    assert (row.next_day, row.pays) == (None, "")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"next_day": "999999"}, "The day chosen takes no waxes of its student. Choose one of the list."),
        ({"pays": "x"}, "Choose who pays for the first casting, or leave it open."),
    ],
)
def test_bad_input_is_answered_with_a_sentence(keep, row, given, said):
    assert said in words_of(keep(**given))
    row.refresh_from_db()
    assert (row.next_day, row.pays, row.version) == (None, "", 1)


def test_of_a_closed_day_a_place_is_still_kept_and_who_pays_stays(keep, row, again, planned, teacher_client):
    CastingDay.objects.filter(pk=planned.pk).update(ended_at=timezone.now())
    page = teacher_client.get(reverse("recast")).content.decode()
    assert 'name="next_day"' in page and 'name="pays"' not in page and "Who pays for the first is not decided." in page
    assert 'name="next_day"' not in teacher_client.get(reverse("recast_of_day", args=[planned.pk])).content.decode()
    keep(next_day=str(again.pk))
    row.refresh_from_db()
    assert row.next_day == again
    assert "This casting day is closed." in words_of(keep(next_day=str(again.pk), pays="school"))


def test_a_helper_reads_and_a_stranger_does_not(keep, row, planned, other_teacher_client):
    helper = client_of_teacher(PersonFactory(school=planned.course.school, role=Role.HELPER))
    page = words_of(helper.get(reverse("recast_of_day", args=[planned.pk])))
    assert "No day is chosen yet. Who pays for the first is not decided." in page
    assert keep(helper, pays="school").status_code in (200, 403)
    row.refresh_from_db()
    assert row.pays == ""
    assert "No piece is to be cast again." in words_of(other_teacher_client.get(reverse("recast")))
    assert keep(other_teacher_client, pays="school").status_code == 404


def test_what_did_not_fill_is_put_on_the_list_by_a_press(planned, teacher_client):
    wax = planned.waxes.order_by("tag").first()
    put = reverse("put_on_recast", args=[planned.pk])
    assert "Nobody noted that" in words_of(teacher_client.post(put, {"tag": wax.tag}, follow=True))
    assert teacher_client.post(put, {"tag": ""}).status_code == 404
    PieceDefect.objects.create(wax=wax, kind="incomplete", where="thin")
    page = words_of(teacher_client.get(reverse("recast_of_day", args=[planned.pk])))
    assert f"Not on the list yet {wax.tag}" in page and "did not fill, as a defect says" in page
    words = words_of(teacher_client.post(put, {"tag": wax.tag}, follow=True))
    assert f"Keep for {wax.tag}" in words and "Not on the list yet" not in words


def test_as_many_queries_however_many_pieces(row, teacher_client, django_assert_max_num_queries):
    with django_assert_max_num_queries(12):
        teacher_client.get(reverse("recast"))
