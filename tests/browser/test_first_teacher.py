"""From the set-up link to the casting days, in a real browser."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from casting.models import Alloy
from school.invitations import issue_school_link
from school.models import School
from tests.browser.conftest import PHONE
from tests.factories import PASSWORD

pytestmark = pytest.mark.django_db(transaction=True)


def fill(page: Page) -> None:
    page.get_by_label("Name of the school").fill("Saltmarsh Metal Hall")
    page.get_by_label("Your name").fill("Odile Marchetti")
    page.get_by_label("Sign-in name or email").fill("odile")
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("The same password again").fill(PASSWORD)


def test_the_browsers_zone_is_proposed_and_five_fields_make_a_school(chromium, live_server):
    context = chromium.new_context(base_url=live_server.url, locale="en-US", timezone_id="America/Denver", **PHONE)
    page = context.new_page()
    page.goto(f"/first-teacher/?token={issue_school_link()}")
    expect(page.get_by_label("Time zone")).to_have_value("America/Denver")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    fill(page)
    page.get_by_role("button", name="Make the school").click()
    expect(page.get_by_role("heading", name="Set-up")).to_be_visible()
    school = School.objects.get()
    assert school.zone == "America/Denver" and Alloy.objects.filter(school=school, offered=True).exists()
    context.close()


def test_without_javascript_the_zone_is_written_and_a_mistake_keeps_the_rest(chromium, live_server):
    context = chromium.new_context(base_url=live_server.url, locale="en-US", java_script_enabled=False)
    page = context.new_page()
    page.goto(f"/first-teacher/?token={issue_school_link()}")
    expect(page.get_by_label("Time zone")).to_have_value("")
    fill(page)
    page.get_by_label("Time zone").fill("Denver")
    page.get_by_role("button", name="Make the school").click()
    expect(page.get_by_role("alert")).to_contain_text("Do you mean America/Denver?")
    expect(page.get_by_label("Your name")).to_have_value("Odile Marchetti")
    fill(page)
    page.get_by_label("Time zone").fill("America/Denver")
    page.get_by_role("button", name="Make the school").click()
    expect(page.get_by_role("heading", name="Set-up")).to_be_visible()
    context.close()


def test_an_invitation_link_is_copied_by_hand_where_there_is_no_javascript(chromium, live_server, teacher):
    context = chromium.new_context(base_url=live_server.url, locale="en-US", java_script_enabled=False)
    page = context.new_page()
    page.goto("/sign-in/?next=/school/team/")
    page.get_by_label("Sign-in name or email").fill(teacher.sign_in)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_label("Whom do you invite?").fill("Nadia")
    page.get_by_role("button", name="Make the link").click()
    expect(page.get_by_role("button", name="Copy")).to_have_count(0)
    link = page.get_by_label("The link", exact=True).input_value()
    page.goto(link)
    expect(page.get_by_text("You are invited as a helper")).to_be_visible()
    context.close()
