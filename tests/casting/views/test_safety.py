"""The safety record, and clearing on the flasks page."""

import json
from html import unescape

import pytest
from django.urls import reverse
from django.utils.html import escape

from casting.models import CautionCleared, SafetyRecord
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory

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


def save(client, **answers):
    """Press the button of the page as it is now, with these answers in it."""
    return client.post(ADDRESS, {"version": client.get(ADDRESS).context["version"]} | answers)


def test_a_school_starts_with_everything_to_settle(teacher_client):
    page = teacher_client.get(ADDRESS).content.decode()
    assert page.count("not recorded") >= 20
    asked = escape("Is there an eyewash?")
    assert "things to settle" in page and page.count(asked) == 1, "a question stands once, at its box"


def test_the_few_that_are_still_open_are_named_and_lead_to_their_boxes(day, school, teacher_client):
    assert "All answered." in teacher_client.get(ADDRESS).content.decode()
    SafetyRecord.objects.filter(school=school).update(eyewash=None, gauge_kind="relative")
    type(school).objects.filter(pk=school.pk).update(elevation_m=None)
    page = teacher_client.get(ADDRESS).content.decode()
    assert '<a href="#id_eyewash">' in page and 'id="id_eyewash"' in page and "2 things to settle" in page
    assert '<a href="/school/">Height above the sea' in page


def test_the_record_is_kept_and_what_is_not_chosen_stays_not_recorded(teacher, teacher_client):
    answer = save(teacher_client, eyewash="true", co_alarm="false", melter="torch", adults="2")
    assert answer.status_code == 302
    record = SafetyRecord.objects.get(school=teacher.school)
    assert (record.eyewash, record.co_alarm, record.melter, record.adults) == (True, False, "torch", 2)
    assert (record.first_aider, record.fuel, record.eyewash_s) == (None, None, None)


def test_a_nought_is_not_nothing(teacher_client):
    save(teacher_client, hours_unattended="0")
    assert SafetyRecord.objects.get().hours_unattended == 0


@pytest.mark.parametrize("wrong", [{"adults": "-1"}, {"adults": "two"}, {"melter": "bonfire"}, {"adults": "40000"}])
def test_what_cannot_be_is_refused(teacher_client, wrong):
    assert save(teacher_client, **wrong).status_code == 422
    assert not SafetyRecord.objects.exists()


@pytest.mark.parametrize(
    ("typed", "said"), [("-3", "-3 is below 0."), ("40000", "40000 is too many: 999 is the most.")]
)
def test_a_wrong_number_is_told_by_what_was_typed(teacher_client, typed, said):
    assert said in save(teacher_client, adults=typed).content.decode()


def test_no_browser_drops_a_number_that_it_cannot_read(teacher_client):
    assert 'type="number"' not in teacher_client.get(ADDRESS).content.decode()
    assert "not a whole number" in save(teacher_client, adults="1,5").content.decode()


@pytest.fixture
def colleague_client(school):
    return client_of_teacher(PersonFactory(school=school, name="Marit Oslund"))


def as_shown(client):
    """What a browser would post of the page as it stands, nothing touched."""
    context = client.get(ADDRESS).context
    boxes = json.loads(context["seen"])
    typed = {name: texts[0] if texts else "" for name, texts in boxes.items()}
    return typed | {"version": context["version"], "seen": context["seen"]}


def test_the_second_of_two_teachers_sees_what_the_first_saved_and_loses_nothing(teacher_client, colleague_client):
    save(teacher_client, contact="Office 555 0101", adults="2")
    opened = as_shown(teacher_client)
    save(colleague_client, contact="Office 555 0199")
    answer = teacher_client.post(ADDRESS, opened | {"exits": "The yard"})
    page = answer.content.decode()
    assert answer.status_code == 409 and SafetyRecord.objects.get().exits == ""
    assert "Whom to call at the school: it was Office 555 0101 and is now Office 555 0199." in page
    assert "Saved by Marit Oslund." in page
    form = answer.context["form"]
    assert (form["exits"].value(), form["contact"].value()) == ("The yard", "Office 555 0199")
    again = {name: form[name].value() or "" for name in form.fields}
    again |= {"version": answer.context["version"], "seen": answer.context["seen"]}
    assert teacher_client.post(ADDRESS, again).status_code == 302
    record = SafetyRecord.objects.get()
    assert (record.exits, record.contact, record.adults) == ("The yard", "Office 555 0199", 2)


def test_both_typed_in_one_box_the_second_keeps_theirs_and_is_told(teacher_client, colleague_client):
    opened = as_shown(teacher_client)
    save(colleague_client, eyewash="false")
    answer = teacher_client.post(ADDRESS, opened | {"eyewash": "true"})
    page = unescape(answer.content.decode())
    assert "Is there an eyewash?: it was not recorded and is now no." in page
    assert "What you typed there is kept below." in page and answer.context["form"]["eyewash"].value() is True


@pytest.mark.parametrize("posted", [{}, {"version": "2"}])
def test_an_empty_post_wipes_nothing(teacher_client, posted):
    save(teacher_client, eyewash="true", exits="The yard")
    save(teacher_client, adults="0")
    assert teacher_client.post(ADDRESS, posted).status_code == (302 if posted else 409)
    record = SafetyRecord.objects.get()
    assert (record.eyewash, record.exits, record.adults, record.version) == (True, "The yard", 0, 2)


def test_the_page_shows_who_changed_what(teacher_client, teacher):
    save(teacher_client, eyewash="true")
    save(teacher_client, eyewash="unknown", adults="3")
    last, first = teacher_client.get(ADDRESS).context["history"]
    assert last.words == (
        "Is there an eyewash? not recorded, was yes; Adults in the room while metal is hot 3, was not recorded"
    )
    assert (first.words, first.who) == ("Is there an eyewash? yes, was not recorded", teacher.name)


def test_each_school_has_its_own(teacher_client, other_teacher_client, teacher):
    save(teacher_client, eyewash="true")
    save(other_teacher_client, eyewash="false")
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


def test_a_clearance_is_taken_back_on_the_page(day, plan, teacher_client, teacher):
    clearing(teacher_client, day)
    address = reverse("take_clearance_back", args=[day.pk])
    text = next(one.text for one in plan_cautions(teacher_client, day) if one.id == "R-35")
    page = teacher_client.post(address, {"caution": "R-35", "text": text}, follow=True).content.decode()
    assert "1 STOP stops this plan" in page and "The clearance is taken back" in page
    assert f"Imre Valdane had cleared it: Sunniva Okoro is one. {teacher.name} took that back" in page
    page = teacher_client.post(address, {"caution": "R-35", "text": text}, follow=True).content.decode()
    assert "Nobody clears that one now." in page


def plan_cautions(client, day):
    return client.get(reverse("flasks", args=[day.pk])).context["cautions"]


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
