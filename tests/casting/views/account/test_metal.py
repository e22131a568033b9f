"""The pages of the metal account: a day's flasks, and one weighed out, back and settled at the bench."""

import uuid
from decimal import Decimal as D

import pytest
from django.urls import reverse

from casting.models import Account, AccountEntry, Transfer
from school.models import Role
from tests.casting.account_days import all_zero, balance, cast, invest, lot_of
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory


@pytest.fixture
def lot(planned, teacher, school):
    """Metal for the day's one flask A, which is invested: 119.5 g are planned."""
    assert invest(planned, teacher) == ["A"]
    return lot_of(school, teacher)


@pytest.fixture
def page(planned):
    return reverse("flask_metal", args=[planned.pk, "A"])


def sent(do, **typed):
    return {"do": do, "key": str(uuid.uuid4())} | typed


def test_a_flask_goes_through_the_page_from_the_lot_to_its_loss(planned, page, lot, teacher_client, school):
    waxes = list(planned.waxes.order_by("pk"))
    text = teacher_client.get(page).content.decode()
    assert "<b>119.5 g</b>" in text and "500.00\u202fg there" in text and "At least half is fresh: 59.75 g." in text
    assert ">0.00" not in text, "nothing is weighed yet, which is not zero"
    assert teacher_client.post(page, sent("weigh_out", **{f"from_{lot.pk}": "119,5"})).status_code == 302
    text = teacher_client.get(page).content.decode()
    assert "A loss of up to 2 %, here 2.39" in text and "100.0 %" not in text  # 119.5 x 0.02
    castings = {f"wax_{wax.pk}": "33.4" for wax in waxes}
    teacher_client.post(page, sent("weigh_back", button="15.9", sprues="2.5", **castings))
    text = teacher_client.get(page).content.decode()
    assert "0.90\u202fg are booked as lost" in text  # 119.5 - 100.2 - 15.9 - 2.5
    answer = teacher_client.post(page, sent("settle"), follow=True)
    assert answer.redirect_chain[0][0] == reverse("metal_account", args=[planned.pk])
    text = answer.content.decode()
    assert "settled" in text and "<b>0.90\u202fg</b> <small>0.8 %</small>" in text  # 0.9 / 119.5
    assert all_zero(school) and balance(lot) == D("380.5")


def test_what_is_typed_stays_with_what_is_wrong(page, lot, teacher_client):
    wax = lot.school.account_entries.model.objects  # nothing is booked by what follows
    before = wax.count()
    answer = teacher_client.post(page, sent("weigh_out", **{f"from_{lot.pk}": "-119.5"}))
    text = answer.content.decode()
    assert answer.status_code == 422 and "“-119.5” is below zero" in text and 'value="-119.5"' in text
    answer = teacher_client.post(page, sent("weigh_out", **{f"from_{lot.pk}": "501"}) | {"seen": "0123456789abcdef"})
    assert answer.status_code == 422 and "501.00\u202fg are weighed out for flask A" in answer.content.decode()
    assert wax.count() == before


def test_a_doubt_is_booked_when_it_is_pressed_again(page, lot, teacher_client):
    typed = sent("weigh_out", **{f"from_{lot.pk}": "76.84"})
    answer = teacher_client.post(page, typed)
    text = answer.content.decode()
    assert answer.status_code == 422 and "was read in pennyweights?" in text and "Yes, it is weighed out so" in text
    typed["seen"] = answer.context["weigh_out"].data["seen"]
    assert f'value="{typed["seen"]}"' in text
    assert teacher_client.post(page, typed).status_code == 302
    assert balance(lot) == D(500) - D("76.84")


def test_the_same_form_sent_twice_is_booked_once(page, lot, teacher_client, planned):
    typed = sent("weigh_out", **{f"from_{lot.pk}": "119.5"})
    assert [teacher_client.post(page, typed).status_code for _nth in range(2)] == [302, 302]
    assert balance(lot) == D("380.5")
    back = sent("weigh_back", **{f"wax_{planned.waxes.first().pk}": "33.4"})
    assert [teacher_client.post(page, back).status_code for _nth in range(2)] == [302, 302]
    assert Transfer.objects.filter(what="casting").count() == 1


def test_what_two_people_weigh_at_once_is_refused_to_the_second_and_not_dropped(planned, page, lot, teacher_client):
    """The second sends a page that was opened before the first had booked."""
    waxes = list(planned.waxes.order_by("pk"))
    other = lot_of(lot.school, None, grams="20")
    teacher_client.post(page, sent("weigh_out", **{f"from_{lot.pk}": "99.5", f"from_{other.pk}": "20"}))
    typed = sent("weigh_out", **{f"from_{lot.pk}": "1", f"from_{other.pk}": "20"})
    answer = teacher_client.post(page, typed)
    assert answer.status_code == 422 and "0.00\u202fg there" in answer.content.decode()
    answer = teacher_client.post(page, typed | {"seen": answer.context["weigh_out"].data["seen"]})
    assert answer.status_code == 409 and "Lot 2: 20.00\u202fg less is there" in answer.content.decode()
    assert "0.00\u202fg there" not in teacher_client.get(page).content.decode()
    teacher_client.post(page, sent("weigh_back", **{f"wax_{waxes[0].pk}": "33.4"}))
    answer = teacher_client.post(page, sent("weigh_back", **{f"wax_{waxes[0].pk}": "33.5"}, button="15.9"))
    text = answer.content.decode()
    assert answer.status_code == 409 and f"{waxes[0].tag} is weighed already: 33.40" in text and 'value="33.5"' in text
    assert not Account.objects.filter(kind="buttons").exists()
    assert f'name="wax_{waxes[0].pk}"' not in teacher_client.get(page).content.decode()


def test_what_is_refused_for_a_settled_flask_is_said(planned, page, lot, teacher, teacher_client):
    cast(planned, "A", lot, teacher)
    answer = teacher_client.post(page, sent("weigh_back", button="0.05"))
    assert answer.status_code == 409 and "Flask A is settled. Take the settling back first" in answer.content.decode()


def test_castings_heavier_than_the_charge_are_refused(page, lot, teacher_client):
    teacher_client.post(page, sent("weigh_out", **{f"from_{lot.pk}": "119.5"}))
    answer = teacher_client.post(page, sent("weigh_back", button="119.6"))
    assert answer.status_code == 409 and "only 119.50\u202fg are in it" in answer.content.decode()
    assert not Account.objects.filter(kind="buttons").exists()


def test_a_teacher_takes_an_entry_back_and_both_stay(planned, page, lot, teacher, teacher_client, school):
    flask = cast(planned, "A", lot, teacher, each="30")
    settled = AccountEntry.objects.get(kind="settled")
    address = reverse("take_back", args=[planned.pk, settled.pk])
    text = teacher_client.post(address, follow=True).content.decode()
    assert "Both stay in the account." in text and "<s>Flask settled, loss 0.10\u202fg</s> taken back" in text
    assert "This entry is taken back already." in teacher_client.post(address, follow=True).content.decode()
    out = AccountEntry.objects.get(kind="weigh_out")
    said = teacher_client.post(reverse("take_back", args=[planned.pk, out.pk]), follow=True).content.decode()
    assert "Flask A: 119.40\u202fg less is there than this would take." in said, "castings and button are out of it"
    assert flask.charge_g == D("119.5") and all_zero(school)


def test_helpers_weigh_and_take_nothing_back(planned, page, lot, school, teacher):
    helper = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    assert helper.post(page, sent("weigh_out", **{f"from_{lot.pk}": "119.5"})).status_code == 302
    assert "Take back: Weighed out" not in helper.get(page).content.decode()
    assert "Take back: Weighed out" in client_of_teacher(teacher).get(page).content.decode()
    entry = AccountEntry.objects.get(kind="weigh_out")
    assert helper.post(reverse("take_back", args=[planned.pk, entry.pk])).status_code == 403


def test_a_day_says_what_metal_to_buy(planned, teacher_client, teacher, school):
    """By hand: 119.5 and 2 % are 121.89, a spare of 119.5 makes 241.39, less 100 g in stock: 141.39, so 141.4."""
    lot_of(school, teacher, grams="100")
    text = teacher_client.get(reverse("metal_account", args=[planned.pk])).content.decode()
    assert "<b>141.4 g</b>" in text and "2.39\u202fg" in text
    assert f'href="{reverse("defects", args=[planned.pk])}"' in text


def test_a_flask_that_is_not_there_has_no_page(planned, teacher_client):
    assert teacher_client.get(reverse("flask_metal", args=[planned.pk, "Q"])).status_code == 404
    assert teacher_client.post(reverse("flask_metal", args=[planned.pk, "A"]), {"do": "x"}).status_code == 404


def test_a_day_without_a_plan_says_the_next_step(day, teacher_client):
    assert "Make the plan first" in teacher_client.get(reverse("metal_account", args=[day.pk])).content.decode()
