"""What a phone on weak Wi-Fi keeps, and how often it arrives."""

from __future__ import annotations

import datetime as dt
import re
import time

import pytest
from playwright.sync_api import Page, Route, expect

from casting.models import CastingDay, Wax
from tests.browser.conftest import PHONE, opened
from tests.casting_factories import DayFactory
from tests.conftest import client_of_student
from tests.factories import StudentFactory
from tests.waiting import until

pytestmark = pytest.mark.django_db(transaction=True)
STATUS = "#outbox [role=status]"


@pytest.fixture
def page(chromium, live_server):
    """A student's phone on the hand-in page; lost connections are its subject, so its console may complain."""
    context, page = opened(chromium, live_server.url, [], **PHONE)
    student = StudentFactory(course=DayFactory().course)
    session = client_of_student(student).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": live_server.url}])
    page.goto("/hand-in/")
    yield page
    context.close()


def choose(page: Page, *choices: str) -> None:
    for choice in choices:
        page.locator(".choices label", has_text=choice).click()


def onward(page: Page) -> None:
    page.get_by_role("button", name="Next").click()


def type_wax(page: Page, weight: str = "4,35") -> None:
    """From the first station to the last."""
    page.fill("[name=weight]", weight)
    choose(page, "Carving wax", "Sterling silver", "no, the wax alone")
    onward(page)
    for name, value in {"width_mm": "24", "depth_mm": "12", "height_mm": "33"}.items():
        page.fill(f"[name={name}]", value)
    choose(page, "medium")
    onward(page)
    page.fill("[name=what]", "leaf ring")


def to(page: Page, station: str) -> None:
    """On to a station, or back to it as the phone's own button goes."""
    order, form = ["scale", "calipers", "what"], page.locator("#_form")
    here = order.index(form.get_attribute("data-at") or "")
    while here != order.index(station):
        if here < order.index(station):
            onward(page)
            here += 1
        else:
            page.go_back()
            here -= 1
        expect(form).to_have_attribute("data-at", order[here])


def put_in(page: Page, station: str, **values: str) -> None:
    """Type into a station, whatever is missing in the others: as if its page had been kept at it."""
    page.locator("#_form").evaluate("(form, station) => form.dataset.at = station", station)
    for name, value in values.items():
        page.fill(f"[name={name}]", value)


def arrived() -> Wax:
    """The one wax of the day, once the school has it."""
    until(lambda: Wax.objects.count() == 1)
    return Wax.objects.get()


def press(page: Page) -> None:
    page.locator("#_form .bar button").click()


def test_a_wax_saved_out_of_reach_arrives_once_it_is_in_reach(page):
    type_wax(page)
    page.context.set_offline(True)
    press(page)
    expect(page.locator(STATUS)).to_have_text("1 saved on this phone, waiting for Wi-Fi")
    expect(page.locator("[name=what]")).to_have_value("")
    expect(page.locator(".takes:not(:empty)")).to_have_count(0)
    assert not Wax.objects.exists()
    # Whatever page is open then tells the tag, and no other page once it was seen.
    page.route("**/hand-in/*/", lambda route: route.abort())
    page.context.set_offline(False)
    page.goto("/return-code/")
    page.unroute("**/hand-in/*/")
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator(STATUS)).to_have_text(f"Sent: leaf ring. Write {arrived().tag} on its tag")
    page.goto("/my-waxes/")
    expect(page.locator("#news")).to_contain_text("leaf ring")
    expect(page.locator(STATUS)).to_have_text("")


def refused(page: Page) -> None:
    """435 g cannot be in 24 x 12 x 33 mm, a block of 9.1 g: the school says so once it is in reach."""
    page.context.set_offline(True)
    type_wax(page, weight="435")
    press(page)
    page.context.set_offline(False)
    expect(page.locator(STATUS)).to_contain_text("1 saved on this phone needs fixing")


def test_what_the_school_refuses_stays_on_the_phone_until_its_own_day_has_it(page):
    first = CastingDay.objects.get()
    asked = DayFactory(course=first.course, pour_at=first.pour_at + dt.timedelta(days=7))
    page.goto(f"/hand-in/{asked.pk}/")
    refused(page)
    page.goto("/hand-in/")
    put_in(page, "what", what="small bezel")
    expect(page.locator("#outbox")).to_contain_text("Look for a slipped comma")
    page.get_by_role("link", name="Look at it").click()
    page.wait_for_url(f"**/hand-in/{asked.pk}/#fix*")
    expect(page.locator("[name=weight]")).to_have_value("435")
    put_in(page, "calipers", width_mm="25")
    page.goto("/my-waxes/")
    page.get_by_role("link", name="Look at it").click()
    expect(page.locator("[name=width_mm]")).to_have_value("25")
    to(page, "scale")
    page.fill("[name=weight]", "4,35")
    expect(page.locator("#_echo")).to_contain_text("46.94")
    to(page, "what")
    press(page)
    page.wait_for_url("**/my-waxes/*/tag/")
    expect(page.locator(STATUS)).to_have_text("")
    assert Wax.objects.get().day == asked
    page.goto("/hand-in/")
    expect(page.locator("[name=what]")).to_have_value("small bezel")


def test_a_refused_wax_is_thrown_away_only_by_its_own_button(page):
    page.goto(f"/hand-in/{CastingDay.objects.get().pk}/")
    refused(page)
    put_in(page, "what", what="small bezel")
    page.get_by_role("link", name="Look at it").click()
    expect(page.locator("[name=what]")).to_have_value("leaf ring")
    page.get_by_role("button", name="Throw it away").click()
    expect(page.locator("[name=what]")).to_have_value("small bezel")
    expect(page.locator("[name=weight]")).to_have_value("")
    expect(page.locator("#outbox")).not_to_contain_text("needs fixing")
    assert not Wax.objects.exists()


def test_a_wax_that_is_not_whole_does_not_wait_for_reach(page):
    type_wax(page)
    page.context.set_offline(True)
    put_in(page, "calipers", depth_mm="1.234,5")
    put_in(page, "scale", weight=" ")
    put_in(page, "what")
    press(page)
    expect(page.locator("#_count")).to_have_text("2 answers are missing or wrong.")
    expect(page.locator("[name=weight]")).to_be_focused()
    page.fill("[name=weight]", ".5 g")
    to(page, "calipers")
    onward(page)
    expect(page.locator("[name=depth_mm]")).to_be_focused()
    page.fill("[name=depth_mm]", "12,")
    to(page, "what")
    expect(page.locator("[name=what]")).to_have_value("leaf ring")
    press(page)
    expect(page.locator(STATUS)).to_have_text("1 saved on this phone, waiting for Wi-Fi")


def test_next_stays_where_an_answer_is_missing_and_enter_goes_to_what_is_not_answered(page):
    page.fill("[name=weight]", "4,35")
    # The unit stands there already: the next that nobody has answered is whether rubber was weighed.
    page.press("[name=weight]", "Enter")
    expect(page.locator("[name=on_base]").first).to_be_focused()
    choose(page, "Carving wax")
    onward(page)
    # The metal, and whether rubber was weighed.
    expect(page.locator("#_count")).to_have_text("2 answers are missing.")
    expect(page).to_have_title("2 answers are missing. Hand in a wax")
    expect(page.locator("[name=on_base]").first).to_be_focused()
    expect(page.locator("#scale .wrong")).to_have_text(
        ["Say whether the rubber base was weighed too: rubber is not metal.", "Choose one of the metals offered."]
    )
    choose(page, "Sterling silver")
    expect(page.locator("#_count[role=status]")).to_have_text("1 answer is missing.")
    choose(page, "no, the wax alone")
    expect(page.locator(".field-wrong, #scale .wrong")).to_have_count(0)
    expect(page.locator("#_count")).to_have_text("")
    expect(page).to_have_title("Hand in a wax")
    page.press("[name=weight]", "Enter")
    expect(page.locator("[name=width_mm]")).to_be_focused()
    page.fill("[name=width_mm]", "24")
    page.press("[name=width_mm]", "Enter")
    expect(page.locator("[name=depth_mm]")).to_be_focused()
    page.go_back()
    expect(page.locator("[name=weight]")).to_have_value("4,35")
    expect(page.locator("[name=weight]")).to_be_visible()
    assert not Wax.objects.exists()


def test_a_size_that_cannot_be_is_marked_until_it_is_right_and_not_longer(page):
    type_wax(page)
    to(page, "calipers")
    page.fill("[name=width_mm]", "401")
    said = "401 mm is not possible: a wax measures more than 0 and at most 400 mm. Measure it again."
    expect(page.locator("#_echo")).to_contain_text(said)
    onward(page)
    wrong = page.locator(".field-wrong")
    expect(wrong.locator("input")).to_be_focused()
    expect(wrong).to_contain_text(said)
    page.fill("[name=width_mm]", "402")
    expect(wrong).to_contain_text("402 mm is not possible")
    page.fill("[name=width_mm]", "24")
    expect(wrong).to_have_count(0)


def test_a_size_that_no_flask_takes_is_asked_about_once_in_the_bar(page):
    type_wax(page)
    to(page, "calipers")
    page.fill("[name=height_mm]", "190")
    onward(page)
    press(page)
    expect(page.locator("#_echo")).to_contain_text("190 mm tall; the tallest flask takes")
    expect(page.locator("#_echo")).to_contain_text("Is that its size? Look for a slipped comma.")
    assert not Wax.objects.exists()
    page.get_by_role("button", name="Yes, hand it in").click()
    page.wait_for_url("**/my-waxes/*/tag/")
    assert Wax.objects.get().height_mm == 190


def test_what_is_wrong_leads_to_its_station_with_the_field_in_focus_and_nothing_cleared(page):
    type_wax(page)
    # More than a block of that size weighs: said of the weight once the size is known.
    put_in(page, "scale", weight="435")
    put_in(page, "what")
    press(page)
    expect(page.locator("[name=weight]")).to_be_focused()
    expect(page.locator(".field-wrong")).to_contain_text("Look for a slipped comma")
    expect(page).to_have_title(re.compile("^1 answer .*Hand in a wax$"))
    expect(page.locator("[name=what]")).to_have_value("leaf ring")


def test_pressing_before_the_answer_has_come_bounces_nobody(page):
    type_wax(page)
    held: list[Route] = []
    page.route("**/hand-in/*/", lambda route: held.append(route))
    press(page)
    expect(page.locator("#_form .bar button")).to_have_text("Sending")
    until(lambda: page.wait_for_timeout(20) or held)
    for route in held:
        route.continue_()
    page.unroute("**/hand-in/*/")
    page.wait_for_url("**/my-waxes/*/tag/")
    expect(page.locator("main")).to_contain_text("on its tag")
    assert arrived().entered == "4,35"


def test_two_tabs_have_two_waxes(page):
    type_wax(page)
    other = page.context.new_page()
    other.goto("/hand-in/")
    expect(other.locator("#outbox")).to_contain_text("leaf ring was begun on this phone and is not handed in.")
    expect(other.locator("[name=weight]")).to_have_value("")
    type_wax(other, "2,20")
    press(other)
    other.wait_for_url("**/my-waxes/*/tag/")
    press(page)
    page.wait_for_url("**/my-waxes/*/tag/")
    assert sorted(wax.entered for wax in Wax.objects.all()) == ["2,20", "4,35"]


def test_a_draft_is_there_again_after_the_page_was_left_and_after_its_tab_was(page):
    type_wax(page)
    page.goto("/my-waxes/")
    page.goto("/hand-in/")
    expect(page.locator("[name=weight]")).to_have_value("4,35")
    expect(page.locator(STATUS)).to_contain_text("What you typed before is back")
    other = page.context.new_page()
    page.close()
    other.goto("/hand-in/")
    other.get_by_role("link", name="Go on with it").click()
    expect(other.locator("[name=weight]")).to_have_value("4,35")
    expect(other.locator("#outbox")).not_to_contain_text("was begun")


def test_a_busy_school_is_left_alone_as_long_as_it_asks_and_a_signed_out_phone_told_so_and_neither_of_wifi(page):
    type_wax(page)
    asked: list[float] = []

    def busy(route: Route) -> None:
        # What the bar asks while one types goes to the same address.
        if "outbox=1" in (route.request.post_data or ""):
            asked.append(time.monotonic())
        route.fulfill(status=503, headers={"Retry-After": "4"}, body="busy")

    page.route("**/hand-in/*/", busy)
    press(page)
    expect(page.locator(STATUS)).to_contain_text("the school does not answer now")
    until(lambda: page.wait_for_timeout(100) or len(asked) == 2)
    assert asked[1] - asked[0] > 3.5
    page.unroute("**/hand-in/*/")
    kept = page.context.cookies()
    page.context.clear_cookies(name="sessionid")
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator(STATUS)).to_contain_text("you are signed out here")
    page.get_by_role("link", name="Come back").click()
    said = "A wax waits on this phone. Once you have come back, it is sent."
    expect(page.locator("#waits")).to_have_text(said)
    page.context.add_cookies(kept)
    page.goto("/my-waxes/")
    expect(page.locator("#news")).to_contain_text(arrived().tag)


def test_a_wax_too_light_to_believe_is_asked_about_once_it_is_in_reach(page):
    type_wax(page, "0,004")
    page.context.set_offline(True)
    press(page)
    expect(page.locator(STATUS)).to_have_text("1 saved on this phone, waiting for Wi-Fi")
    page.context.set_offline(False)
    expect(page.locator("#outbox")).to_contain_text("0.004 g is very little for that size")
    page.get_by_role("link", name="Look at it").click()
    expect(page.locator("#_echo")).to_contain_text("0.004 g is very little")
    assert not Wax.objects.exists()
    to(page, "what")
    page.get_by_role("button", name="Yes, hand it in").click()
    page.wait_for_url("**/my-waxes/*/tag/")
    assert Wax.objects.count() == 1
