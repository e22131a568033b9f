"""From an empty installation to a planned day on paper: a school sets itself up, alone, in a real browser."""

from __future__ import annotations

import io
import re

import pypdfium2
import pytest
from django.core.management import call_command
from playwright.sync_api import Page, expect

from casting.models import Kiln
from school.models import Course, Person, School
from tests.factories import PASSWORD

pytestmark = pytest.mark.django_db(transaction=True)

MOST_TYPED = 40
"""Fields that a school types or chooses which keeps most of the usual values: the goal of the set-up."""
MOST_PRESSES = 60

ANSWERS = {
    "people_near_kiln": "false",
    "co_alarm": "true",
    "over_temperature_cutoff": "true",
    "on_call": "true",
    "old_fibre": "false",
    "asbestos": "false",
    "eyewash": "true",
    "extinguisher": "true",
    "first_aider": "true",
    "kiln_extraction": "true",
    "kiln_vent_outside": "true",
}
"""What the safety record asks for before any plan may be used."""


class Counted:
    """A teacher at a page, whose typing and pressing is counted."""

    def __init__(self, page: Page) -> None:
        self.page, self.typed, self.presses = page, 0, 0

    def type(self, label: str, text: str) -> None:
        self.page.get_by_role("textbox", name=label, exact=True).or_(
            self.page.get_by_label(label, exact=True)
        ).first.fill(text)
        self.typed += 1

    def choose(self, name: str, value: str) -> None:
        self.page.locator(f"[name='{name}']").select_option(value)
        self.typed += 1

    def tick_off(self, label: str) -> None:
        self.page.get_by_role("checkbox", name=label).uncheck()
        self.presses += 1

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).first.click()
        self.presses += 1

    def follow(self, name: str) -> None:
        self.page.get_by_role("link", name=name, exact=True).first.click()
        self.presses += 1


def set_up_link(site: str) -> str:
    out = io.StringIO()
    call_command("invite_school", site=site, stdout=out)
    found = re.search(r"http\S+", out.getvalue())
    assert found
    return found[0]


def test_a_school_sets_itself_up_and_prints_a_planned_day(desk: Page, live_server):
    assert not School.objects.exists() and not Person.objects.exists()
    teacher = Counted(desk)
    desk.goto(set_up_link(live_server.url))
    make_the_school(teacher)
    the_school_itself(teacher)
    the_shelf(teacher)
    for title in ("Firings", "Hours and people", "House rules"):
        teacher.press(f"Leave {title} as it is")
    the_safety_record(teacher)
    rehearse(teacher)
    assert not Course.objects.filter(is_rehearsal=False).exists()
    assert teacher.typed <= MOST_TYPED, teacher.typed
    assert teacher.presses <= MOST_PRESSES, teacher.presses


def make_the_school(teacher: Counted) -> None:
    teacher.type("Name of the school", "Saltmarsh Metal Hall")
    teacher.type("Time zone", "America/Denver")
    teacher.type("Your name", "Odile Marchetti")
    teacher.type("Sign-in name or email", "odile")
    teacher.type("Password", PASSWORD)
    teacher.type("The same password again", PASSWORD)
    teacher.press("Make the school")
    expect(teacher.page.get_by_role("heading", name="Set-up")).to_be_visible()


def the_school_itself(teacher: Counted) -> None:
    teacher.follow("Open School")
    teacher.type("Height above the sea", "1609")
    teacher.choose("paper", "Letter")
    teacher.type("Prices in", "USD")
    teacher.press("Save")
    expect(teacher.page.locator("#school")).to_contain_text("1609 m")


def the_shelf(teacher: Counted) -> None:
    teacher.follow("Open Metals and today's prices")
    for metal in ("Fine silver", "10k yellow gold", "14k yellow, zinc-free", "18k yellow gold", "14k rose gold"):
        teacher.tick_off(f"{metal}: offered")
    for metal, price in (("Sterling silver", "1.35"), ("14k yellow gold", "66"), ("Silicon bronze", "0.04")):
        teacher.type(f"{metal}: Price", price)
    teacher.press("Save")
    expect(teacher.page.locator("#metals")).to_contain_text("3 prices are yours")
    teacher.press("Leave Investment, the plaster as it is")
    teacher.follow("Open Flasks")
    for size, number in (("50.8 × 63.5", "10"), ("76.2 × 76.2", "4"), ("101.6 × 101.6", "0")):
        teacher.type(f"{size}\N{NARROW NO-BREAK SPACE}mm: How many there are", number)
    teacher.press("Save")
    teacher.follow("Open Kilns")
    teacher.tick_off("Kiln 2: we have it")
    for what, side in (("Chamber width", "330"), ("Chamber depth", "330"), ("Height", "343")):
        teacher.type(f"Kiln 1: {what}", side)
    kiln = Kiln.objects.get(key="k1")
    teacher.choose(f"{kiln.pk}-delayed_start", "yes")
    teacher.choose(f"{kiln.pk}-runs_program", "yes")
    teacher.press("Save")
    expect(teacher.page.locator("#kilns")).to_contain_text("Kiln 1, 330 × 330 × 343 mm; delayed start: yes")


def the_safety_record(teacher: Counted) -> None:
    teacher.follow("Open Safety record")
    for name, answer in ANSWERS.items():
        teacher.choose(name, answer)
    for name, number in (("hours_unattended", "15"), ("eyewash_s", "6")):
        teacher.page.locator(f"[name='{name}']").fill(number)
        teacher.typed += 1
    teacher.press("Save the record")
    expect(teacher.page.locator("#safety")).to_contain_text("Recorded in part")


def rehearse(teacher: Counted) -> None:
    teacher.follow("Open A rehearsal")
    teacher.press("Rehearse")
    expect(teacher.page.get_by_text("last pour", exact=True)).to_be_visible(timeout=60_000)
    expect(teacher.page.get_by_text("Before any plan of yours")).to_have_count(0)
    teacher.follow("Day plan")
    address = teacher.page.get_by_role("link", name="Day plan as a PDF").get_attribute("href")
    teacher.presses += 1
    paper = teacher.page.request.get(address)
    assert paper.headers["content-type"] == "application/pdf"
    text = "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(paper.body()))
    assert "Rehearsal with an invented class" in text
    assert "Saltmarsh Metal Hall" in text
