"""A photo on a phone with weak Wi-Fi: made small there, kept, and sent after its wax, once."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, Route, expect

from casting.models import Wax, WaxPhoto
from tests.browser.conftest import PHONE, opened
from tests.browser.test_outbox import STATUS, press, type_wax
from tests.casting_factories import DayFactory
from tests.conftest import client_of_student
from tests.factories import StudentFactory
from tests.photos import opened as picture_of
from tests.photos import with_place
from tests.waiting import until

pytestmark = pytest.mark.django_db(transaction=True)
NO_STORE = "IDBFactory.prototype.open = () => { throw new Error('blocked'); };"


@pytest.fixture
def page(chromium, live_server) -> Iterator[Page]:
    """A student's phone; lost connections are its subject, so its console may complain."""
    context, page = opened(chromium, live_server.url, [], **PHONE)
    session = client_of_student(StudentFactory(course=DayFactory().course)).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": live_server.url}])
    yield page
    context.close()


def choose_photo(page: Page) -> None:
    """One of 3 million pixels that lies on its side, as the camera gives it; it is drawn once it is made small."""
    sent = {"name": "IMG_0042.jpg", "mimeType": "image/jpeg", "buffer": with_place(2000, 1500, orientation=6)}
    page.set_input_files("input[data-photo]", sent)
    expect(page.locator("canvas[data-preview]")).to_be_visible()


def the_photo() -> WaxPhoto:
    until(lambda: WaxPhoto.objects.count() == 1)
    return WaxPhoto.objects.select_related("wax").get()


def test_a_photo_taken_out_of_reach_arrives_once_after_its_wax(page):
    page.goto("/hand-in/")
    type_wax(page)
    choose_photo(page)
    page.reload()
    expect(page.locator("canvas[data-preview]")).to_be_attached()
    page.wait_for_function("document.querySelector('input[data-photo]').files.length === 1")
    page.evaluate("document.querySelector('#_form').dataset.at = 'what'")
    page.context.set_offline(True)
    press(page)
    expect(page.locator("#photos")).to_have_text("Photos waiting here for the network: 1.")
    assert page.evaluate("document.querySelector('input[data-photo]').files.length") == 0, "the next wax has none yet"
    asked: list[str] = []
    page.on("request", lambda one: one.url.endswith("/photo/") and asked.append(one.url))
    page.context.set_offline(False)
    expect(page.locator("#photos")).to_have_text("The school has the photo.")
    photo = the_photo()
    assert photo.wax == Wax.objects.get() and picture_of(bytes(photo.jpeg)).size == (1200, 1600)
    page.goto("/my-waxes/")
    expect(page.locator("img.photo")).to_be_visible()
    page.reload()
    expect(page.locator("#photos")).to_have_text("")
    assert len(asked) == 1


def test_a_photo_whose_answer_was_lost_is_one_photo_and_its_page_shows_it(page):
    page.goto("/hand-in/")
    type_wax(page)
    choose_photo(page)
    lost = []

    def lose_the_answer(route: Route) -> None:
        lost.append(route.fetch().status)
        route.abort("connectionreset")

    page.route("**/photo/", lose_the_answer, times=1)
    press(page)
    page.wait_for_url("**/my-waxes/*/tag/")
    expect(page.locator("img.photo")).to_be_visible(timeout=30_000)
    assert lost == [200] and the_photo().wax == Wax.objects.get()
    expect(page.get_by_role("button", name="Take the photo away")).to_be_visible()


def test_a_phone_that_can_keep_nothing_says_so_and_the_photo_comes_with_its_wax(page):
    page.add_init_script(NO_STORE)
    page.goto("/hand-in/")
    type_wax(page)
    choose_photo(page)
    expect(page.locator("#photos")).to_have_text("No photo can be kept here: stay on this page until it is sent.")
    press(page)
    page.wait_for_url("**/my-waxes/*/tag/")
    assert picture_of(bytes(the_photo().jpeg)).size == (1200, 1600)
    page.goto("/hand-in/")
    type_wax(page, "3,10")
    choose_photo(page)
    page.context.set_offline(True)
    press(page)
    expect(page.locator(STATUS)).to_have_text("1 saved on this phone, waiting for Wi-Fi")
    expect(page.locator("#photos")).to_have_text(
        "This phone could not keep the photo: take it again on the page of its tag."
    )


def test_on_the_page_with_the_tag_a_photo_goes_at_once_and_what_is_none_is_refused_in_words(page):
    page.goto("/hand-in/")
    type_wax(page)
    press(page)
    page.wait_for_url("**/my-waxes/*/tag/")
    page.set_input_files("input[data-photo]", {"name": "x.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"})
    expect(page.locator("#photos")).to_contain_text("That file is no photo")
    choose_photo(page)
    expect(page.locator("img.photo")).to_be_visible()
    assert the_photo().wax == Wax.objects.get()
