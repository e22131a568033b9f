"""Ways out for a wax on a phone: handed in as another, kept while hand-in is closed, asked about before leaving."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.utils import timezone
from playwright.sync_api import Page, Route, expect

from casting.models import CastingDay, Wax
from tests.browser.conftest import PHONE, opened
from tests.browser.test_outbox import STATUS, arrived, choose, press, put_in, type_wax
from tests.casting_factories import DayFactory
from tests.conftest import client_of_student
from tests.factories import StudentFactory
from tests.photos import photo
from tests.waiting import until

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def page(chromium, live_server) -> Iterator[Page]:
    """A student's phone on the hand-in page; what goes wrong is its subject, so its console may complain."""
    context, page = opened(chromium, live_server.url, [], **PHONE)
    session = client_of_student(StudentFactory(course=DayFactory().course)).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": live_server.url}])
    page.goto("/hand-in/")
    yield page
    context.close()


def test_leaving_asks_once_more_while_a_wax_waits(page):
    type_wax(page)
    # 4.35 / 0.96 x 10.36 = 46.94 g: worked by hand.
    expect(page.locator("#_echo")).to_contain_text("46.94\u202fg sterling silver")
    page.context.set_offline(True)
    press(page)
    expect(page.locator(STATUS)).to_have_text("1 saved on this phone, waiting for Wi-Fi")
    expect(page.locator("#_echo")).to_have_text("")
    page.get_by_role("button", name="Leave").click()
    expect(page.locator(STATUS)).to_contain_text("1 wax on this phone is not sent yet")
    page.route("**/hand-in/*/", lambda route: route.abort("connectionreset"))
    page.context.set_offline(False)
    page.get_by_role("button", name="Leave anyway").click()
    expect(page.locator(".who")).to_have_count(0)


def test_what_is_handed_in_as_another_wax_is_one_more_and_no_draft(page):
    type_wax(page)
    press(page)
    page.wait_for_url("**/my-waxes/*/tag/")
    first = Wax.objects.get()
    page.goto("/hand-in/")
    # As from a page of the browser's own memory: the key of a wax that the school has.
    page.locator("[name=key]").evaluate("(field, key) => field.value = key", str(first.key))
    put_in(page, "scale", weight="2,20")
    put_in(page, "calipers", width_mm="24", depth_mm="12", height_mm="33")
    choose(page, "medium")
    put_in(page, "what", what="small bezel")
    press(page)
    another = page.get_by_role("button", name="Hand it in as another wax")
    expect(another).to_be_visible()
    page.context.set_offline(True)
    another.click()
    expect(page.locator(STATUS)).to_have_text("1 saved on this phone, waiting for Wi-Fi")
    expect(page.locator("[name=what]")).to_have_value("")
    page.context.set_offline(False)
    until(lambda: Wax.objects.count() == 2)
    assert {wax.entered for wax in Wax.objects.all()} == {"4,35", "2,20"}


def test_a_wax_that_meets_a_closed_hand_in_stays_on_the_phone_until_it_is_open_again(page):
    type_wax(page)
    CastingDay.objects.update(closed_at=timezone.now())
    press(page)
    expect(page.locator("#outbox")).to_contain_text(
        "leaf ring Hand-in for this casting day is closed. Ask your teacher."
    )
    expect(page.locator(STATUS)).to_have_text("1 saved on this phone is sent by itself if hand-in opens again")
    assert not Wax.objects.exists()
    CastingDay.objects.update(closed_at=None)
    page.goto("/my-waxes/")
    tag = arrived().tag
    # It may have gone from the page before this one, after the list was asked for.
    page.reload()
    expect(page.locator("#news")).to_contain_text(tag)
    expect(page.locator("#outbox")).not_to_contain_text("hand-in opens again")


def test_over_plain_http_too_nothing_of_a_forgotten_student_stays_on_the_phone(page):
    type_wax(page)
    page.set_input_files("input[data-photo]", {"name": "x.jpg", "mimeType": "image/jpeg", "buffer": photo(64, 48)})
    expect(page.locator("canvas[data-preview]")).to_be_visible()
    assert page.evaluate("localStorage.length") == 1

    def without_its_header(route: Route) -> None:
        answer = route.fetch()
        headers = {name: said for name, said in answer.headers.items() if name != "clear-site-data"}
        route.fulfill(response=answer, headers=headers)

    page.route("**/forget-me/", without_its_header)
    page.goto("/forget-me/")
    page.get_by_role("button", name="Forget me for good").click()
    expect(page.locator("h1")).to_have_text("You are forgotten")
    page.wait_for_function("localStorage.length + sessionStorage.length === 0")
    page.wait_for_function("indexedDB.databases().then((all) => !all.length)")
