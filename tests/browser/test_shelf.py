"""The shelf in a real browser: a metal's parts are added up as they are typed, and all works without a script."""

import pytest
from playwright.sync_api import Browser, Page, expect

from casting.models import Alloy
from casting.services.stock import stock_school
from tests.browser.conftest import opened
from tests.browser.walking import sign_in

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def sterling(school):
    stock_school(school)
    return Alloy.objects.get(school=school, key="sterling")


def test_parts_are_added_up_as_they_are_typed_and_enter_saves(desk: Page, live_server, sterling, teacher):
    sign_in(desk.context, teacher, live_server.url)
    desk.goto("/metals/")
    desk.get_by_role("link", name="Sterling silver", exact=True).click()
    share = desk.get_by_label("What it is made of, by weight, 2, share")
    share.fill("6.5")
    expect(desk.get_by_text("Together 99\u202f%. They should come to 100 %.")).to_be_visible()
    share.fill("7.5")
    expect(desk.get_by_text("These parts make a specific gravity of 10.37")).to_be_visible()
    desk.get_by_label("Metal temperature at the pour").fill("985")
    desk.get_by_label("Metal temperature at the pour").press("Enter")
    expect(desk.get_by_role("status").get_by_text("Saved: Sterling silver.")).to_be_visible()
    sterling.refresh_from_db()
    assert sterling.pour_c == 985 and sterling.composition_pct == {"Ag": 92.5, "Cu": 7.5}


def test_without_a_script_a_value_is_changed_put_back_and_saved_on_a_tablet(
    chromium: Browser, live_server, complaints, sterling, teacher
):
    size = {"width": 820, "height": 1180}
    context, tablet = opened(chromium, live_server.url, complaints, viewport=size, java_script_enabled=False)
    Alloy.objects.filter(pk=sterling.pk).update(pour_c=985)
    sign_in(context, teacher, live_server.url)
    tablet.goto(f"/shelf/metals/{sterling.pk}/")
    tablet.get_by_label("Price").fill("1.4")
    tablet.get_by_role("button", name="Put back: Metal temperature at the pour").click()
    expect(tablet.get_by_role("textbox", name="Metal temperature at the pour")).to_have_value("970")
    expect(tablet.get_by_role("status").get_by_text("Save to keep it.")).to_be_visible()
    expect(tablet.get_by_label("Price")).to_have_value("1.4")
    tablet.get_by_role("button", name="Save", exact=True).last.click()
    expect(tablet.get_by_role("heading", name="Metals")).to_be_visible()
    context.close()
    sterling.refresh_from_db()
    assert (sterling.pour_c, sterling.price_per_g) == (970, 1.4)
