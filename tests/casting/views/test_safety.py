"""The safety record, and clearing on the flasks page."""

import pytest
from django.urls import reverse
from django.utils.html import escape

from casting.models import CautionCleared, SafetyRecord
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

ADDRESS = "/safety/"


@pytest.fixture
def plan(day, teacher, student):
    """A plan that wants a first-aider."""
    handed_in(day, student)
    SafetyRecord.objects.update(first_aider=False)
    return make_plan(day, teacher)


def clearing(client, day, **typed):
    stop = {"caution": "R-35", "by": "Imre Valdane", "reason": "Sunniva Okoro is one"}
    page = client.get(reverse("flasks", args=[day.pk]))
    stop["text"] = next((one.text for one in page.context["cautions"] if one.id == "R-35"), "")
    return client.post(reverse("clear_caution", args=[day.pk]), stop | typed)


def test_a_school_starts_with_everything_to_settle(teacher_client):
    page = teacher_client.get(ADDRESS).content.decode()
    assert page.count("not recorded") >= 20
    assert escape("Is there an eyewash?") in page and "things to settle" in page


def test_the_record_is_kept_and_what_is_not_chosen_stays_not_recorded(teacher, teacher_client):
    answer = teacher_client.post(ADDRESS, {"eyewash": "true", "co_alarm": "false", "melter": "torch", "adults": "2"})
    assert answer.status_code == 302
    record = SafetyRecord.objects.get(school=teacher.school)
    assert (record.eyewash, record.co_alarm, record.melter, record.adults) == (True, False, "torch", 2)
    assert (record.first_aider, record.fuel, record.eyewash_s) == (None, None, None)


def test_a_nought_is_not_nothing(teacher_client):
    teacher_client.post(ADDRESS, {"hours_unattended": "0"})
    assert SafetyRecord.objects.get().hours_unattended == 0


@pytest.mark.parametrize("wrong", [{"adults": "-1"}, {"adults": "two"}, {"melter": "bonfire"}, {"adults": "40000"}])
def test_what_cannot_be_is_refused(teacher_client, wrong):
    assert teacher_client.post(ADDRESS, wrong).status_code == 422
    assert not SafetyRecord.objects.exists()


@pytest.mark.parametrize(
    ("typed", "said"), [("-3", "-3 is below 0."), ("40000", "40000 is too many: 999 is the most.")]
)
def test_a_wrong_number_is_told_by_what_was_typed(teacher_client, typed, said):
    assert said in teacher_client.post(ADDRESS, {"adults": typed}).content.decode()


def test_no_browser_drops_a_number_that_it_cannot_read(teacher_client):
    assert 'type="number"' not in teacher_client.get(ADDRESS).content.decode()
    assert "not a whole number" in teacher_client.post(ADDRESS, {"adults": "1,5"}).content.decode()


def test_each_school_has_its_own(teacher_client, other_teacher_client, teacher):
    teacher_client.post(ADDRESS, {"eyewash": "true"})
    other_teacher_client.post(ADDRESS, {"eyewash": "false"})
    assert SafetyRecord.objects.get(school=teacher.school).eyewash is True


@pytest.mark.parametrize("who", ["student_client", "stranger_client"])
def test_only_a_teacher_sees_and_writes_it(who, request):
    client = request.getfixturevalue(who)
    assert client.get(ADDRESS).status_code == client.post(ADDRESS, {"eyewash": "true"}).status_code == 302
    assert not SafetyRecord.objects.exists()


def test_the_flasks_page_shows_what_holds_the_plan_back(day, plan, teacher_client):
    page = teacher_client.get(reverse("flasks", args=[day.pk])).content.decode()
    assert "1 STOP stops this plan" in page and "a first-aider" in page
    assert page.index("stops this plan") < page.index('id="flask-')


def test_a_teacher_clears_it_there(day, plan, teacher_client):
    assert clearing(teacher_client, day).status_code == 302
    page = teacher_client.get(reverse("flasks", args=[day.pk])).content.decode()
    assert "holds this plan back" not in page
    assert "Cleared by Imre Valdane: Sunniva Okoro is one" in page


def test_without_a_reason_nothing_is_cleared_and_what_was_typed_stays(day, plan, teacher_client):
    answer = clearing(teacher_client, day, by="Odile <b>", reason="")
    assert answer.status_code == 422 and not CautionCleared.objects.exists()
    assert "Odile &lt;b&gt;" in answer.content.decode() and "Write your name" in answer.content.decode()


def test_words_that_do_not_stand_any_more_are_not_cleared(day, plan, teacher_client):
    assert clearing(teacher_client, day, text="Do no hot work.").status_code == 422
    assert not CautionCleared.objects.exists()


@pytest.mark.parametrize("who", ["student_client", "other_teacher_client", "stranger_client"])
def test_nobody_else_clears(day, plan, who, request):
    answer = request.getfixturevalue(who).post(
        reverse("clear_caution", args=[day.pk]), {"caution": "R-35", "by": "x", "reason": "y", "text": ""}
    )
    assert answer.status_code in (302, 404) and not CautionCleared.objects.exists()


def test_a_get_clears_nothing(day, plan, teacher_client):
    assert teacher_client.get(reverse("clear_caution", args=[day.pk])).url == reverse("flasks", args=[day.pk])


def test_a_paper_of_a_plan_that_is_held_back_says_so(day, plan, teacher_client):
    answer = teacher_client.get(reverse("day_plan_pdf", args=[day.pk]))
    assert answer.status_code == 409 and "a first-aider" in answer.content.decode()
