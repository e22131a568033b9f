"""From the address on the poster to the day plan on paper, in a real browser."""

from __future__ import annotations

import datetime as dt

import pypdfium2
import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from casting.models import Alloy, CastingDay, Wax
from casting.services.demo import record_safety
from casting.services.stock import stock_school
from tests.browser.conftest import PHONE
from tests.factories import PASSWORD

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def day(school, course, teacher):
    stock_school(school)
    record_safety(school)
    day = CastingDay.objects.create(course=course, pour_at=timezone.now() + dt.timedelta(days=14))
    day.alloys.set(Alloy.objects.filter(school=school, offered=True))
    return day


def fits_the_phone(page: Page) -> None:
    """Nothing reaches over the right edge, and nothing to press is too small for a thumb."""
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    for button in page.locator("button[type=submit]:not(.link), a.button").all():
        box = button.bounding_box()
        assert box is None or box["height"] >= 48, button.inner_text()


def join(page: Page, course) -> None:
    page.goto(f"/join/{course.code}/")
    fits_the_phone(page)
    page.get_by_label("What are you called?").fill("Sunniva Okoro")
    page.get_by_role("button", name="Join", exact=True).click()
    expect(page.get_by_role("heading", name="Your return code")).to_be_visible()
    fits_the_phone(page)
    page.get_by_role("link", name="I have it, go on").click()


def sign_in(page: Page, teacher) -> None:
    page.goto("/sign-in/")
    page.get_by_label("Sign-in name or email").fill(teacher.sign_in)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()


def fill_wax(page: Page, weight: str) -> None:
    """Station by station; without a script they stand one below the other, and there is no Next."""
    page.get_by_label("Weight, with its sprue").fill(weight)
    page.get_by_text("no, the wax alone").click()
    page.get_by_role("group", name="What is it made of?").get_by_text("Carving wax").click()
    page.get_by_role("group", name="Which metal?").get_by_text("Sterling silver", exact=True).click()
    go_on(page)
    page.get_by_label("Width, mm").fill("22")
    page.get_by_label("Depth, mm").fill("8")
    page.get_by_label("Height, mm").fill("31,5")
    page.get_by_role("group", name="How thick is its thinnest part?").get_by_text("medium").click()
    go_on(page)
    page.get_by_label("What is it?").fill("leaf ring")


def go_on(page: Page) -> None:
    if page.get_by_role("button", name="Next").is_visible():
        page.get_by_role("button", name="Next").click()


def pdf_text(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_range() for page in document)


def test_an_odd_weight_goes_from_the_phone_to_the_paper(phone: Page, desk: Page, day, course, teacher):
    join(phone, course)
    phone.get_by_role("link", name="Hand in").first.click()
    fill_wax(phone, "4,37")
    # 4.37 / 0.96 x 10.36 = 47.16 g of sterling
    expect(phone.locator("#_echo")).to_contain_text("4.37")
    expect(phone.locator("#_echo")).to_contain_text("47.16")
    fits_the_phone(phone)
    phone.get_by_role("button", name="Hand in").click()
    expect(phone.get_by_role("heading", name="Handed in")).to_be_visible()
    fits_the_phone(phone)
    wax = Wax.objects.get()
    assert str(wax.wax_g.normalize()) == "4.37"
    expect(phone.get_by_text(wax.tag, exact=True).first).to_be_visible()

    sign_in(desk, teacher)
    desk.goto(f"/days/{day.pk}/waxes/")
    expect(desk.get_by_text("1 wax handed in")).to_be_visible()
    desk.get_by_role("button", name="Make the plan").click()
    expect(desk.get_by_text("weigh out", exact=True)).to_be_visible()
    # The button of a 2 in flask, 10 g: 47.16 + 10 = 57.16 g, up to the next half gram
    expect(desk.locator("#flask-A")).to_contain_text("57.5")
    desk.goto(f"/days/{day.pk}/day-plan/")
    paper = desk.request.get(desk.get_by_role("link", name="Day plan as a PDF").get_attribute("href"))
    assert paper.headers["content-type"] == "application/pdf"
    text = pdf_text(paper.body())
    assert "57.5" in text
    assert wax.tag in text
    assert "Sunniva Okoro" in text


def test_a_long_name_reaches_over_no_edge(phone: Page, course, teacher):
    phone.goto(f"/join/{course.code}/")
    # The longest name there may be, all one word.
    phone.get_by_label("What are you called?").fill("W" * 80)
    phone.get_by_role("button", name="Join", exact=True).click()
    expect(phone.get_by_role("heading", name="Your return code")).to_be_visible()
    fits_the_phone(phone)
    phone.context.clear_cookies()
    sign_in(phone, teacher)
    phone.goto("/classes/")
    expect(phone.get_by_role("rowheader", name="W" * 80)).to_be_visible()
    fits_the_phone(phone)


def test_a_wax_is_handed_in_without_javascript(chromium, live_server, day, course):
    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False, locale="en-US", **PHONE)
    page = context.new_page()
    join(page, course)
    page.get_by_role("link", name="Hand in").first.click()
    fill_wax(page, "4.37")
    page.get_by_role("button", name="Hand in").click()
    expect(page.get_by_role("heading", name="Handed in")).to_be_visible()
    expect(page.locator("main")).to_contain_text("4.37\u202fg of wax: 47.16\u202fg")
    expect(page.locator("main")).to_contain_text("on its tag")
    assert Wax.objects.get().version == 1
    context.close()


def test_a_name_that_papers_cannot_print_is_spelled_on_the_phone(phone: Page, course):
    phone.goto(f"/join/{course.code}/")
    spelling = phone.get_by_label("How do you spell it in letters that our papers print?")
    expect(spelling).to_have_count(0)
    phone.get_by_label("What are you called?").fill("山田 花子")
    phone.get_by_role("button", name="Join", exact=True).click()
    expect(phone.get_by_role("status")).to_contain_text("Our papers cannot print 山, 田, 花, 子.")
    fits_the_phone(phone)
    spelling.fill("Yamada Hanako")
    phone.get_by_role("button", name="Join", exact=True).click()
    phone.get_by_role("link", name="I have it, go on").click()
    expect(phone.get_by_text("On our papers your name is Yamada Hanako.")).to_be_visible()
    fits_the_phone(phone)
