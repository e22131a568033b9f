"""What a student's phone shows and keeps without Wi-Fi, once it has been there with it."""

from __future__ import annotations

import re
from unittest.mock import Mock

import pytest
from django.db import OperationalError
from playwright.sync_api import Page, expect

from casting.models import Wax, WaxChange
from casting.services import waxes as wax_services
from casting.views import worker
from tests.browser.conftest import PHONE, opened
from tests.browser.test_outbox import STATUS, arrived, press, to, type_wax
from tests.casting_factories import DayFactory, handed_in, wax_entry
from tests.conftest import client_of_student
from tests.factories import StudentFactory
from tests.waiting import until

pytestmark = pytest.mark.django_db(transaction=True)
KEPT = """async () => {
  const found = [];
  for (const name of await caches.keys()) for (const request of await (await caches.open(name)).keys())
    found.push(name.split(':')[1] + new URL(request.url).pathname);
  return found;
}"""
AS_OF = re.compile(r"^As of \d\d:\d\d, without Wi-Fi")


@pytest.fixture
def day(db):
    return DayFactory()


@pytest.fixture
def wax(day):
    return handed_in(day, StudentFactory(course=day.course), what="leaf ring")


@pytest.fixture
def context(chromium, live_server, wax):
    """A student's phone; lost connections are its subject, so its console may complain."""
    context, page = opened(chromium, live_server.url, [], **PHONE)
    page.close()
    sign_in(context, live_server.url, wax.student)
    yield context
    context.close()


@pytest.fixture
def page(context):
    return context.new_page()


def sign_in(context, address, student) -> None:
    session = client_of_student(student).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": address}])


def kept(page: Page) -> set[str]:
    return {one for one in page.evaluate(KEPT) if "/static/" not in one}


def visit(page: Page, path: str, wax: Wax) -> None:
    """Open a page with Wi-Fi, until the phone has kept it and what it leads to."""
    page.goto(path)
    own = {f"/my-waxes/{wax.pk}/", "/my-waxes/", f"/hand-in/{wax.day_id}/", path}
    until(lambda: {f"{wax.student_id}{each}" for each in own} <= kept(page))
    # A page from the phone has its scripts too.
    until(lambda: {"outbox.js", "hand-in.js"} <= {one.split("/")[-1] for one in page.evaluate(KEPT)})


def test_hand_in_and_my_waxes_open_without_wifi_and_say_of_when_they_are(page, wax):
    visit(page, "/hand-in/", wax)
    page.context.set_offline(True)
    page.reload()
    expect(page.locator(STATUS)).to_have_text(AS_OF)
    expect(page.locator("#scale")).to_be_visible()
    page.get_by_role("link", name="My waxes").click()
    expect(page.locator(STATUS)).to_have_text(AS_OF)
    expect(page.locator("#news")).to_contain_text("leaf ring")
    page.goto("/")
    expect(page.locator("#news")).to_contain_text("leaf ring")
    page.context.set_offline(False)
    page.wait_for_url("**/my-waxes/")
    expect(page.locator(STATUS)).to_have_text("")


def test_a_kept_list_is_fetched_anew_although_the_phone_did_not_tell_of_its_wifi(page, wax):
    page.add_init_script("addEventListener('online', (event) => event.stopImmediatePropagation());")
    visit(page, "/my-waxes/", wax)
    page.context.set_offline(True)
    page.reload()
    expect(page.locator(STATUS)).to_have_text(AS_OF)
    page.context.set_offline(False)
    expect(page.locator(STATUS)).to_have_text("", timeout=15000)
    assert not page.evaluate("document.body.dataset.keptAt")


def test_waxes_begun_on_the_same_kept_page_arrive_one_by_one(page, wax):
    visit(page, "/hand-in/", wax)
    page.context.set_offline(True)
    for nth, weight in enumerate(("4,35", "4,45", "4,55")):
        # The third on the page of the second.
        if nth < 2:
            page.reload()
        to(page, "scale")
        type_wax(page, weight)
        press(page)
        expect(page.locator(STATUS)).to_contain_text(f"{nth + 1} saved on this phone, waiting for Wi-Fi")
    page.context.set_offline(False)
    until(lambda: Wax.objects.count() == 4)
    assert {one.entered for one in Wax.objects.exclude(pk=wax.pk)} == {"4,35", "4,45", "4,55"}


def test_a_change_without_wifi_arrives_once(page, wax, monkeypatch):
    visit(page, "/my-waxes/", wax)
    page.context.set_offline(True)
    # The worker of a page that is opened again has its network for a moment; the school is not there for it either.
    there = wax_services.change
    monkeypatch.setattr(wax_services, "change", Mock(side_effect=OperationalError("database is locked")))
    page.get_by_role("link", name="Change").click()
    expect(page.locator(STATUS)).to_have_text(AS_OF)
    page.fill("[name=weight]", "3,30")
    to(page, "what")
    press(page)
    expect(page.locator(STATUS)).to_contain_text("1 saved on this phone, waiting for Wi-Fi")
    page.reload()
    expect(page.locator("[name=weight]")).to_have_value("3,30")
    assert WaxChange.objects.count() == 1
    monkeypatch.setattr(wax_services, "change", there)
    page.context.set_offline(False)
    expect(page.locator(STATUS)).to_contain_text(f"Changed: leaf ring, wax {wax.tag}", timeout=30_000)
    wax.refresh_from_db()
    assert (wax.entered, wax.version, WaxChange.objects.count()) == ("3,30", 2, 2)


def test_a_change_whose_answer_was_lost_is_one_change(page, wax):
    page.goto(f"/my-waxes/{wax.pk}/")
    page.fill("[name=weight]", "3,30")
    to(page, "what")
    lost = []

    def lose_the_answer(route):
        # What the bar asks while one types goes to the same address.
        if lost or "outbox=1" not in (route.request.post_data or ""):
            return route.fallback()
        lost.append(route.fetch().status)
        return route.abort("connectionreset")

    page.context.route(f"**/my-waxes/{wax.pk}/", lose_the_answer)
    press(page)
    expect(page.locator(STATUS)).to_contain_text(f"Changed: leaf ring, wax {wax.tag}", timeout=30_000)
    assert (set(lost), WaxChange.objects.count()) == ({200}, 2)


def test_a_change_that_meets_another_is_told_and_nothing_is_lost(page, wax):
    visit(page, f"/my-waxes/{wax.pk}/", wax)
    page.context.set_offline(True)
    page.fill("[name=weight]", "3,30")
    to(page, "what")
    press(page)
    expect(page.locator(STATUS)).to_contain_text("1 saved on this phone, waiting for Wi-Fi")
    wax_services.change(wax, by=wax.student, version=1, entry=wax_entry(wax.day, what="narrow band"))
    page.context.set_offline(False)
    expect(page.locator("#outbox")).to_contain_text("This wax was changed on another screen in the meantime.")
    page.goto("/my-waxes/")
    page.get_by_role("link", name="Look at it").click()
    expect(page.locator("[name=weight]")).to_have_value("3,30")
    to(page, "what")
    press(page)
    expect(page.locator("#_form")).to_contain_text("narrow band")
    to(page, "what")
    press(page)
    page.wait_for_url("**/tag/")
    expect(page.locator(STATUS)).to_have_text("")
    wax.refresh_from_db()
    assert (wax.entered, wax.version) == ("3,30", 3)


def test_a_withdrawal_without_wifi_waits_and_arrives_once(page, wax):
    visit(page, "/my-waxes/", wax)
    page.context.set_offline(True)
    page.reload()
    page.get_by_role("button", name="Withdraw").click()
    expect(page.locator(STATUS)).to_contain_text("1 saved on this phone, waiting for Wi-Fi")
    expect(page.get_by_role("button", name="Withdraw")).to_be_disabled()
    assert WaxChange.objects.count() == 1
    page.context.set_offline(False)
    expect(page.locator("#news")).to_contain_text("Withdrawn.")
    # Told on the page that was fetched anew, too.
    expect(page.locator(STATUS)).to_have_text(f"Withdrawn: leaf ring, wax {wax.tag}")
    assert WaxChange.objects.count() == 2
    page.get_by_role("button", name="Undo: hand it in again").click()
    expect(page.locator("main > .status")).to_contain_text("is handed in again")
    wax.refresh_from_db()
    assert (wax.withdrawn_at, wax.version) == (None, 3)


def test_who_joins_after_another_left_sees_nothing_of_them_without_wifi(page, wax, live_server):
    visit(page, "/my-waxes/", wax)
    page.get_by_role("button", name="Leave").click()
    expect(page.locator(".who")).to_have_count(0)
    assert kept(page) == set()
    other = StudentFactory(course=wax.day.course)
    sign_in(page.context, live_server.url, other)
    page.goto("/my-waxes/")
    until(lambda: f"{other.pk}/my-waxes/" in kept(page))
    page.context.set_offline(True)
    page.reload()
    expect(page.locator(STATUS)).to_have_text(AS_OF)
    expect(page.locator("#news")).not_to_contain_text("leaf ring")
    assert {one.split("/")[0] for one in page.evaluate(KEPT)} == {str(other.pk)}


def test_whoever_comes_by_the_door_takes_the_place_of_who_was_there(page, wax):
    """A session that ended without Leave: the way back in is a door, too."""
    visit(page, "/my-waxes/", wax)
    page.context.clear_cookies(name="sessionid")
    page.goto("/my-waxes/")
    page.wait_for_url("**/back/")
    assert kept(page) == set()
    page.context.set_offline(True)
    with pytest.raises(Exception, match="ERR_"):
        page.goto("/my-waxes/")


def test_a_new_deployment_takes_the_place_of_the_old_one(page, wax, monkeypatch):
    visit(page, "/my-waxes/", wax)
    names = "() => caches.keys()"
    assert page.evaluate(names) == [f"student:{wax.student_id}:plain"]
    monkeypatch.setattr(worker, "deployment", lambda: "next")
    page.reload()
    until(lambda: page.evaluate(names) == [f"student:{wax.student_id}:next"])
    page.context.set_offline(True)
    page.goto(f"/hand-in/{wax.day_id}/")
    expect(page.locator(STATUS)).to_have_text(AS_OF)


def test_what_was_thrown_away_comes_back(page, wax):
    wax.delete()
    page.goto("/hand-in/")
    type_wax(page, weight="435")
    page.context.set_offline(True)
    press(page)
    page.context.set_offline(False)
    expect(page.locator(STATUS)).to_contain_text("needs fixing")
    page.get_by_role("button", name="Throw it away").click()
    expect(page.locator("#outbox")).to_contain_text("leaf ring is thrown away.")
    expect(page.locator(STATUS)).not_to_contain_text("needs fixing")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(STATUS)).to_contain_text("needs fixing")
    page.get_by_role("link", name="Look at it").click()
    to(page, "scale")
    page.fill("[name=weight]", "4,35")
    to(page, "what")
    press(page)
    page.wait_for_url("**/tag/")
    assert arrived().entered == "4,35"


def test_without_a_worker_the_pages_work_as_they_did(chromium, live_server, wax):
    """As over plain http, where a browser has none."""
    errors: list[str] = []
    context, page = opened(chromium, live_server.url, errors, **PHONE)
    context.add_init_script("delete Navigator.prototype.serviceWorker")
    sign_in(context, live_server.url, wax.student)
    page.goto("/my-waxes/")
    page.get_by_role("button", name="Withdraw").click()
    expect(page.locator("main > .status")).to_contain_text("is withdrawn")
    assert page.evaluate("() => caches.keys()") == []
    context.close()
    assert errors == []
