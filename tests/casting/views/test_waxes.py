"""The desk's list of waxes: who has, who has not; closing, holding, planning."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import escape

from casting.models import Investment, Plan, Wax, WaxChange
from casting.services import searches
from casting.services.waxes import bring_back, withdraw
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in, too_much_gold


@pytest.fixture
def patient(monkeypatch):
    """A request that waits for its search, however long this machine takes."""
    monkeypatch.setattr(searches, "PATIENCE_S", 120)


WRITES = ["close_waxes", "make_plan"]


def page(client, day):
    return client.get(reverse("waxes", args=[day.pk]))


def test_the_list_shows_who_has_and_who_has_not(student, classmate, teacher_client, day):
    wax = handed_in(day, student)
    text = page(teacher_client, day).content.decode()
    has, has_not = text.split("Still to hand in")
    assert student.called in has and wax.tag in has
    assert classmate.called in has_not and student.called not in has_not


def test_the_page_of_a_wax_says_which_sprue_it_asks_for_or_what_to_measure(teacher_client, day):
    address = reverse("correct_wax", args=[day.pk, handed_in(day).pk])
    assert "Measure its thickest part" in teacher_client.get(address).content.decode()
    Wax.objects.update(thickest_mm=3, thick_parts=2)
    # B&S gauge 8 is 3.264 mm, gauge 9 2.906
    text = teacher_client.get(address).content.decode()
    assert (
        "at least 3\u202fmm thick" in text and "gauge 8 (B&amp;S)" in text and "Give each of its 2 thick parts" in text
    )


def test_one_metal_is_shown_alone_with_the_sums_of_all(teacher_client, day, student, classmate):
    silver = handed_in(day, student)
    bronze = handed_in(day, classmate, alloy=day.alloys.get(key="si-bronze"))
    context = teacher_client.get(reverse("waxes", args=[day.pk]), {"metal": "sterling", "by": "weight"}).context
    assert [wax.tag for wax, *_rest in context["waxes"]] == [silver.tag]
    assert [each.alloy.key for each in context["sums"]] == ["si-bronze", "sterling"]
    context = teacher_client.get(reverse("waxes", args=[day.pk]), {"metal": "no-such", "by": "no-such"}).context
    assert {wax.tag for wax, *_rest in context["waxes"]} == {silver.tag, bronze.tag}
    assert (context["metal"], context["order"]) == ("", "tag")


def test_a_wax_that_is_refused_a_flask_says_why_beneath_its_line(teacher_client, day):
    tall = handed_in(day, height_mm=Decimal(300))
    text = page(teacher_client, day).content.decode()
    assert "300 mm tall" in text.split(tall.tag)[-1]


def test_a_second_choice_and_a_note_are_told_and_one_press_takes_the_metal(teacher_client, teacher, day):
    """Worked in `too_much_gold`: one melt takes it in bronze and not in 14k."""
    wax = too_much_gold(day, note="for my aunt")
    text = page(teacher_client, day).content.decode()
    assert "for my aunt" in text and "or silicon bronze" in text
    assert "Its student would also take silicon bronze." in text and f"Cast {wax.tag} in silicon bronze" in text
    address = reverse("take_second", args=[day.pk, wax.pk])
    answer = teacher_client.post(address, {"version": "1", "page": "waxes"}, follow=True)
    text = answer.content.decode()
    assert f"Wax {wax.tag} is now to be cast in silicon bronze." in text and "would also take" not in text
    change = WaxChange.objects.latest("pk")
    assert (change.by_person, change.after["alloy"], change.after["note"]) == (teacher, "si-bronze", "for my aunt")
    assert "has no flask" not in text


@pytest.mark.parametrize(("version", "said"), [("0", "was changed on another screen"), ("x", "on another screen")])
def test_a_press_on_an_old_page_changes_nothing_and_says_so(teacher_client, day, version, said):
    wax = too_much_gold(day)
    address = reverse("take_second", args=[day.pk, wax.pk])
    assert said in teacher_client.post(address, {"version": version}, follow=True).content.decode()
    assert Wax.objects.get(pk=wax.pk).alloy.key == "gold-14k"


def test_a_wax_without_a_second_choice_offers_none(teacher_client, day):
    too_much_gold(day, second_alloy=None)
    text = page(teacher_client, day).content.decode()
    assert "one melt takes" in text and "would also take" not in text


def test_the_cast(student_client, teacher_client, other_teacher_client, stranger_client, day):
    assert page(teacher_client, day).status_code == 200
    assert page(other_teacher_client, day).status_code == 404
    assert page(student_client, day).status_code == 302
    assert page(stranger_client, day).status_code == 302


@pytest.mark.parametrize("name", WRITES)
def test_only_the_school_s_teacher_writes(name, student_client, other_teacher_client, stranger_client, day):
    address = reverse(name, args=[day.pk])
    assert other_teacher_client.post(address).status_code == 404
    assert student_client.post(address).status_code == 302
    assert stranger_client.post(address).status_code == 302
    day.refresh_from_db()
    assert day.closed_at is None and not Plan.objects.exists()


@pytest.mark.parametrize("name", WRITES)
def test_no_state_changes_on_get(name, teacher_client, day):
    assert teacher_client.get(reverse(name, args=[day.pk])).status_code == 302
    day.refresh_from_db()
    assert day.closed_at is None and not Plan.objects.exists()


def test_hand_in_is_closed_and_opened_again(teacher_client, day):
    address = reverse("close_waxes", args=[day.pk])
    teacher_client.post(address, {"do": "close"})
    day.refresh_from_db()
    assert not day.hand_in_open()
    teacher_client.post(address, {"do": "reopen"})
    day.refresh_from_db()
    assert day.hand_in_open()


def test_a_wax_is_held_by_the_school_s_teacher(teacher, teacher_client, other_teacher_client, day):
    wax = handed_in(day)
    address = reverse("hold_wax", args=[day.pk, wax.pk])
    assert other_teacher_client.post(address, {"label": "B"}).status_code == 404
    teacher_client.post(address, {"label": "b2"})
    wax.refresh_from_db()
    assert wax.held.label == "B2"
    last = WaxChange.objects.last()
    assert (last.before, last.after, last.by_person) == ({"held": ""}, {"held": "B2"}, teacher)


@pytest.mark.parametrize("label", ["ABCD", "Ä", "A-1", "A B", "<b>"])
def test_what_is_no_label_holds_nothing_and_stays_to_be_mended(teacher_client, day, label):
    wax, other = handed_in(day), handed_in(day)
    answer = teacher_client.post(reverse("hold_wax", args=[day.pk, wax.pk]), {"label": label})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert (
        f"Wax {wax.tag} is not kept in a flask: a flask" in text
        and f"Wax {other.tag} is not kept in a flask" not in text
    )
    assert f'value="{escape(label)}"' in text
    wax.refresh_from_db()
    assert not hasattr(wax, "held")


@pytest.mark.parametrize("label", [" B2", "b2 ", "B2\n", "\tb2"])
def test_blanks_around_a_label_are_dropped(teacher_client, day, label):
    wax = handed_in(day)
    teacher_client.post(reverse("hold_wax", args=[day.pk, wax.pk]), {"label": label})
    wax.refresh_from_db()
    assert wax.held.label == "B2"


def test_a_held_wax_that_fits_no_flask_is_named_without_its_place_in_the_day_file(teacher_client, day, patient):
    wax = handed_in(day, height_mm=88)
    teacher_client.post(reverse("hold_wax", args=[day.pk, wax.pk]), {"label": "B"})
    answer = teacher_client.post(reverse("make_plan", args=[day.pk]), follow=True)
    text = answer.content.decode()
    assert f"{wax.tag} fits no flask even alone" in text and f"held.{wax.tag}" not in text


def test_a_day_that_cannot_be_planned_says_why(teacher_client, day, patient):
    handed_in(day)
    Investment.objects.filter(school=day.course.school).update(water_per_100=90)
    answer = teacher_client.post(reverse("make_plan", args=[day.pk]), follow=True)
    text = answer.content.decode()
    assert ", water to 100 powder, by weight: 90 is entered, but it must be at least " in text
    assert "Change it on the page Equipment." in text and "investment.water_per_100" not in text
    assert not Plan.objects.exists()


def test_twenty_waxes_cost_no_more_queries_than_one(teacher_client, day):
    handed_in(day)
    page(teacher_client, day)  # the shelf is read once and kept
    with CaptureQueriesContext(connection) as one:
        page(teacher_client, day)
    for _ in range(19):
        handed_in(day)
    with CaptureQueriesContext(connection) as twenty:
        page(teacher_client, day)
    assert len(twenty) == len(one)


def test_the_metal_of_a_wax_is_rounded_as_on_the_papers(teacher_client, day):
    # 0.95 / 0.96 x 10.36 = 10.2521 g: 10.25 to the nearest hundredth, 10.26 if rounded up.
    handed_in(day, wax_g=Decimal("0.95"))
    assert "10.25\u202fg" in page(teacher_client, day).content.decode()


def test_a_plan_older_than_its_waxes_is_called_out(teacher, teacher_client, day):
    handed_in(day)
    make_plan(day, by=teacher)
    assert "Something has changed since revision 1" not in page(teacher_client, day).content.decode()
    handed_in(day)
    assert "Something has changed since revision 1" in page(teacher_client, day).content.decode()


def test_a_teacher_gives_a_withdrawn_wax_back_and_undoes_it(student, teacher, teacher_client, day):
    wax = handed_in(day, student)
    assert "<h2>Withdrawn</h2>" not in page(teacher_client, day).content.decode()
    withdraw(wax, by=student, version=wax.version)
    assert f"Give {wax.tag} back" in page(teacher_client, day).content.decode()
    address = reverse("return_wax", args=[day.pk, wax.pk])
    for do, stands in (("", True), ("", True), ("undo", False), ("undo", False)):
        assert teacher_client.post(address, {"do": do}).status_code == 302
        assert day.waxes.standing().exists() is stands


@pytest.mark.parametrize("who", ["student_client", "other_teacher_client"])
def test_nobody_else_gives_a_wax_back(student, day, who, request):
    wax = handed_in(day, student)
    withdraw(wax, by=student, version=wax.version)
    request.getfixturevalue(who).post(reverse("return_wax", args=[day.pk, wax.pk]))
    assert not day.waxes.standing().exists()


def test_a_wax_changed_meanwhile_is_looked_at_before_it_is_given_back(
    student, teacher, teacher_client, day, monkeypatch
):
    """Another screen writes between the page's look at the wax and its own writing."""
    wax = withdraw(handed_in(day, student), by=student, version=1)

    def later(wax, *, by, version):
        Wax.objects.filter(pk=wax.pk).update(version=version + 1)
        return bring_back(wax, by=by, version=version)

    monkeypatch.setattr("casting.views.waxes.wax_services.bring_back", later)
    answer = teacher_client.post(reverse("return_wax", args=[day.pk, wax.pk]), follow=True)
    assert f"Wax {wax.tag} was changed on another screen just now." in answer.content.decode()
    assert not day.waxes.standing().exists()
