"""What befalls a phone: pressed twice on a slow network, beside another, full, over plain http, small and Spanish."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.utils import translation
from django.utils.translation import gettext
from playwright.sync_api import Browser, BrowserContext, Page, expect

from casting.models import Wax
from tests.browser.conftest import PHONE, opened
from tests.browser.test_outbox import STATUS, arrived, choose, onward, press, to, type_wax
from tests.browser.walking import sign_in
from tests.casting_factories import DayFactory, handed_in
from tests.factories import StudentFactory

pytestmark = pytest.mark.django_db(transaction=True)
FULL = """for (let size = 4 << 20; size; size >>= 1) {
  try { for (let nth = 0; ; nth += 1) localStorage.setItem(`${size} ${nth}`, "x".repeat(size)); } catch { /* full */ }
}"""
BLOCKED = "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('blocked'); } });"
PLAIN_HTTP = "delete Navigator.prototype.serviceWorker; delete Crypto.prototype.randomUUID; delete window.caches;"
BROKEN = """() => {
  const broken = [], texts = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const text = texts.currentNode, range = document.createRange();
    if (!text.parentElement.checkVisibility() || text.parentElement.closest(".hidden, svg, option")) continue;
    for (const word of text.data.matchAll(/[\\p{L}\\p{N}]+/gu)) {
      range.setStart(text, word.index);
      range.setEnd(text, word.index + word[0].length);
      const parts = [...range.getClientRects()].filter((one) => one.width);
      if (new Set(parts.map((one) => Math.round(one.bottom / 8))).size > 1) broken.push(word[0]);
    }
  }
  return broken;
}"""
"""The words of the page that stand on two lines."""
PLACES = """() => {
  const box = (what) => document.querySelector(what).getBoundingClientRect();
  const button = box(".bar button"), bar = box(".bar");
  const typed = document.activeElement.getBoundingClientRect().bottom;
  return { bar: bar.height / innerHeight, top: bar.top, typed, foot: [button.right, button.bottom] };
}"""
FORGETS = "This phone keeps nothing of what you type. Stay on this page until it is handed in."
SMALLEST = {"width": 320, "height": 568}
SLOW = {"offline": False, "latency": 600, "downloadThroughput": 50_000, "uploadThroughput": 50_000}


@pytest.fixture
def student():
    return StudentFactory(course=DayFactory().course)


@pytest.fixture
def page(chromium, live_server, student) -> Iterator[Page]:
    context, page = phone_of(chromium, live_server.url, student)
    yield page
    context.close()


def phone_of(chromium: Browser, address: str, student) -> tuple[BrowserContext, Page]:
    """A phone of a student; trouble is its subject, so its console may complain."""
    context, page = opened(chromium, address, [], **PHONE)
    sign_in(context, student, address)
    return context, page


def slow(page: Page) -> None:
    """600 ms for each answer to begin, and 50 KB a second."""
    page.context.new_cdp_session(page).send("Network.emulateNetworkConditions", SLOW)


def test_a_double_tap_on_a_slow_network_is_one_post_and_one_wax(page):
    sent = []
    page.on("request", lambda asked: sent.append(asked) if "outbox=1" in (asked.post_data or "") else None)
    page.goto("/hand-in/")
    slow(page)
    type_wax(page)
    page.locator("#_form .bar button").dblclick()
    page.wait_for_url("**/my-waxes/*/tag/")
    assert len(sent) == 1 and arrived().version == 1


def test_two_phones_of_a_student_show_the_same_and_neither_writes_over_the_other(page, chromium, live_server, student):
    wax = handed_in(student.course.casting_days.get(), student, what="leaf ring")
    page.goto(f"/my-waxes/{wax.pk}/")
    context, other = phone_of(chromium, live_server.url, student)
    other.goto(f"/my-waxes/{wax.pk}/")
    other.fill("[name=weight]", "3,40")
    to(other, "what")
    press(other)
    other.wait_for_url("**/tag/")
    page.fill("[name=weight]", "3,30")
    to(page, "what")
    press(page)
    expect(page.locator("#_form")).to_contain_text("This wax was changed on another screen in the meantime.")
    expect(page.locator("[name=weight]")).to_have_value("3,30")
    other.goto("/my-waxes/")
    expect(other.locator("main")).to_contain_text("3.40")
    other.locator("summary", has_text="Size").click()
    to(page, "what")
    press(page)
    page.wait_for_url("**/tag/")
    # A page in sight asks for news; what was unfolded stays so.
    other.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(other.locator("#news")).to_contain_text("3.30")
    expect(other.locator("#news details[open]")).to_have_count(1)
    context.close()
    wax.refresh_from_db()
    assert (wax.entered, wax.version) == ("3,30", 3)


@pytest.mark.parametrize("trouble", [FULL, BLOCKED])
def test_a_phone_that_keeps_nothing_says_so_and_hands_in_all_the_same(page, trouble):
    page.add_init_script(trouble)
    page.goto("/hand-in/")
    expect(page.locator(STATUS)).to_have_text("")
    type_wax(page)
    expect(page.locator(STATUS)).to_have_text(FORGETS)
    page.context.set_offline(True)
    press(page)
    said = "This phone keeps nothing: stay on this page, and it is sent from here by itself."
    expect(page.locator(STATUS)).to_have_text(said)
    expect(page.locator("[name=weight]")).to_have_value("4,35")
    page.context.set_offline(False)
    expect(page.locator(STATUS)).to_contain_text(f"Sent: leaf ring. Write {arrived().tag} on its tag")
    expect(page.locator("[name=weight]")).to_have_value("")
    assert arrived().entered == "4,35"


def test_a_phone_with_room_again_says_no_more_that_it_keeps_nothing(page):
    page.goto("/hand-in/")
    page.evaluate(FULL)
    page.fill("[name=weight]", "4,35")
    expect(page.locator(STATUS)).to_have_text(FORGETS)
    page.evaluate("localStorage.clear()")
    page.fill("[name=weight]", "4,36")
    expect(page.locator(STATUS)).to_have_text("")
    page.reload()
    expect(page.locator("[name=weight]")).to_have_value("4,36")


def test_over_plain_http_it_is_said_what_is_missing_and_a_wax_out_of_reach_arrives(page):
    page.add_init_script(PLAIN_HTTP)
    page.goto("/hand-in/")
    said = "Without Wi-Fi this page does not open again. Stay on it until your wax is handed in."
    expect(page.locator(STATUS)).to_have_text(said)
    type_wax(page)
    page.context.set_offline(True)
    press(page)
    expect(page.locator(STATUS)).to_have_text("1 saved on this phone, waiting for Wi-Fi")
    page.context.set_offline(False)
    expect(page.locator(STATUS)).to_have_text(f"Sent: leaf ring. Write {arrived().tag} on its tag")


def test_on_the_smallest_phone_in_spanish_a_wax_goes_from_station_to_station(chromium, live_server, student):
    context = chromium.new_context(base_url=live_server.url, locale="es-ES", **PHONE | {"viewport": SMALLEST})
    page = context.new_page()
    sign_in(context, student, live_server.url)
    page.goto("/hand-in/")
    with translation.override("es"):
        alone, medium, following = gettext("no, the wax alone"), gettext("medium, 1.2 to 2.5 mm"), gettext("Next")
        waits = gettext("{n} saved on this phone, waiting for Wi-Fi").replace("{n}", "1")
        sent, handed = gettext("Sent: {what}. Write {tag} on its tag"), gettext("Handed in")
    page.fill("[name=weight]", "4,35")
    choose(page, "Carving wax", "Sterling silver", alone)
    fits(page)
    page.get_by_role("button", name=following).click()
    for name, value in {"width_mm": "24", "depth_mm": "12", "height_mm": "33"}.items():
        page.fill(f"[name={name}]", value)
    choose(page, medium)
    fits(page)
    page.get_by_role("button", name=following).click()
    page.fill("[name=what]", "anillo de hojas")
    fits(page)
    context.set_offline(True)
    press(page)
    expect(page.locator(STATUS)).to_have_text(waits)
    fits(page)
    context.set_offline(False)
    told = sent.replace("{what}", "anillo de hojas").replace("{tag}", arrived().tag)
    expect(page.locator(STATUS)).to_have_text(told)
    page.goto(f"/my-waxes/{arrived().pk}/tag/")
    expect(page.get_by_role("heading", level=1)).to_contain_text(handed)
    fits(page)
    context.close()


def fits(page: Page) -> None:
    """Nothing scrolls sideways, and the bar with its button is on the screen."""
    assert page.evaluate("document.documentElement.scrollWidth") <= SMALLEST["width"]
    foot = page.evaluate("document.querySelector('#_form .bar button')?.getBoundingClientRect().bottom")
    assert foot is None or foot <= SMALLEST["height"]


def test_stones_that_somebody_opened_and_left_are_asked_about_and_not_taken_for_none(page):
    page.goto("/hand-in/")
    type_wax(page)
    stones = page.locator("summary", has_text="It has stones in it")
    stones.click()
    press(page)
    expect(page.locator("#_count")).to_have_text("1 answer is missing.")
    expect(page.locator(".field-wrong")).to_contain_text("Say whether stones are set in it.")
    assert not Wax.objects.exists()
    # Folded up again it is as if nobody had asked.
    stones.click()
    expect(page.locator("[name=stones][value=none]")).to_be_checked()
    press(page)
    page.wait_for_url("**/my-waxes/*/tag/")
    assert arrived().stones == Wax.Stones.NONE


@pytest.mark.parametrize("locale", ["en-US", "es-ES"])
def test_in_letters_twice_as_large_no_word_breaks_and_nothing_scrolls_sideways(chromium, live_server, student, locale):
    handed_in(student.course.casting_days.get(), student, what="leaf ring")
    context = chromium.new_context(base_url=live_server.url, locale=locale, **PHONE)
    page = context.new_page()
    sign_in(context, student, live_server.url)
    for address in ("/my-waxes/", "/hand-in/"):
        page.goto(address)
        tall = page.evaluate("document.querySelector('.own')?.getBoundingClientRect().height")
        assert tall is None or 100 < tall <= 130
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        for station in ("scale", "calipers", "what") if address == "/hand-in/" else ("",):
            page.evaluate(
                "at => { for (const form of document.querySelectorAll('.stations')) form.dataset.at = at; }", station
            )
            assert page.evaluate(BROKEN) == [], (address, station)
            assert page.evaluate("document.documentElement.scrollWidth") == PHONE["viewport"]["width"]
    context.close()


def test_a_base_that_was_remembered_is_not_in_the_way_of_a_wax_weighed_alone(page):
    page.goto("/hand-in/")
    type_wax(page, "16,75")
    to(page, "scale")
    choose(page, "yes, base and all")
    page.fill("[name=base]", "12.4")
    expect(page.locator("#_echo")).to_contain_text("You typed 16,75 g. The base, 12.4 g, is subtracted.")
    to(page, "what")
    press(page)
    page.wait_for_url("**/my-waxes/*/tag/")
    page.goto("/hand-in/")
    expect(page.locator("[name=base]")).to_have_value("12.4")
    page.fill("[name=weight]", "4,45")
    choose(page, "no, the wax alone")
    expect(page.locator("#_echo")).to_contain_text("4.45\u202fg of wax")
    choose(page, "yes, base and all")
    expect(page.locator("[name=base]")).to_have_value("12.4")


def test_the_fields_of_the_calipers_are_on_the_screen_as_soon_as_they_are_asked_for(page):
    page.goto("/hand-in/")
    page.fill("[name=weight]", "4,35")
    choose(page, "Carving wax", "Sterling silver", "no, the wax alone")
    onward(page)
    expect(page.locator("[name=width_mm]")).to_be_focused()
    bar = page.evaluate("document.querySelector('.bar').getBoundingClientRect().top")
    assert page.evaluate("document.querySelector('[name=height_mm]').getBoundingClientRect().bottom") < bar
    # A question makes the bar taller, by so much and no more: above it is what is typed, the button stays where it is.
    page.set_viewport_size({"width": 320, "height": 640})
    foot = page.evaluate(PLACES)["foot"]
    for name, value in {"width_mm": ".9", "depth_mm": ".25", "height_mm": "1.25"}.items():
        page.fill(f"[name={name}]", value)
    expect(page.locator("#_echo .wrong")).to_contain_text("Are these inches?")
    places = page.evaluate(PLACES)
    assert places["bar"] <= 0.3 and 0 < places["typed"] <= places["top"] and places["foot"] == foot
