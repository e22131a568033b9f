"""Whole tasks with the keyboard alone: Tab to each box in its turn, letters, Enter; no mouse, no call of a script."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from casting.models import Alloy, Firing, Flask, Wax
from casting.services import searches
from tests.browser.walking import sign_in
from tests.casting.planned import make_plan, start_here
from tests.casting_factories import DayFactory, handed_in

pytestmark = pytest.mark.django_db(transaction=True)

MOST_TABS = 150
WAIT = "Wait from pour to quench, by the flask's width"
BANDS = [
    ("Very thin", "from", "621"), ("Very thin", "to", "677"), ("Thin", "from", "566"), ("Thin", "to", "621"),
    ("Medium", "from", "510"), ("Medium", "to", "566"), ("Heavy", "from", "427"), ("Heavy", "to", "510"),
]  # fmt: skip


@pytest.fixture
def day(course, monkeypatch):
    monkeypatch.setattr(searches, "start_child", start_here)
    return DayFactory(course=course)


@pytest.fixture
def keys(desk: Page, live_server, teacher):
    """The page of a teacher who has signed in."""
    sign_in(desk.context, teacher, live_server.url)
    return desk


def tab_to(page: Page, role: str, name: str) -> None:
    """Press Tab until the control of that name has the focus, and see that the focus can be seen."""
    for _press in range(MOST_TABS):
        page.keyboard.press("Tab")
        focused = page.locator(":focus")
        if focused.count() and focused.and_(page.get_by_role(role, name=name, exact=True)).count():
            assert focused.evaluate("one => getComputedStyle(one).outlineStyle") != "none"
            return
    raise AssertionError(f"{MOST_TABS} presses of Tab reach no {role} called {name}")


def typed(page: Page, boxes: dict[str, str]) -> None:
    """Tab from box to box in this order and type; what stood there is selected by Tab and replaced."""
    for name, text in boxes.items():
        tab_to(page, "textbox", name)
        page.keyboard.type(text)


def chosen(page: Page, name: str, letters: str) -> None:
    """Choose in a list by the first letters of its line."""
    tab_to(page, "combobox", name)
    page.keyboard.type(letters)


def test_a_metal_is_added(keys: Page, day):
    keys.goto("/metals/")
    tab_to(keys, "link", "Add a metal")
    keys.keyboard.press("Enter")
    made_of = "What it is made of, by weight"
    typed(keys, {"Name": "Plain copper bar", f"{made_of}, 1, element": "Cu", f"{made_of}, 1, share": "100"})
    typed(keys, {"Specific gravity": "8.93", "Begins to melt (solidus)": "1083", "Is all liquid (liquidus)": "1085"})
    typed(keys, {"Metal temperature at the pour": "1150"})
    typed(keys, {f"Flask temperature, {work}, {end}": text for work, end, text in BANDS})
    typed(keys, {f"{WAIT}, 1, flasks up to": "102", f"{WAIT}, 1, wait": "15"})
    keys.keyboard.press("Enter")
    expect(keys.get_by_role("link", name="Plain copper bar", exact=True)).to_be_visible()
    assert Alloy.objects.get(name="Plain copper bar").composition_pct == {"Cu": 100}


def test_a_firing_is_drawn_and_checked_as_it_is_typed_and_saved(keys: Page, day):
    firing = Firing.objects.filter(school=day.course.school).order_by("pk")[0]
    top = f"Ramps and holds, {len(firing.segments)}, to"
    keys.goto(f"/shelf/firings/{firing.pk}/")
    curve = keys.locator("#curve")
    expect(curve).to_contain_text("Within all limits for firings")
    # 1350 is a figure in Fahrenheit; above 732 C the rulebook's N-01 warns (its limit firing_top_high_c).
    typed(keys, {top: "1350"})
    expect(curve).to_contain_text("Did you mean 1350\u202f°F, which is 732\u202f°C?")
    keys.keyboard.press("Control+A")
    keys.keyboard.type("745")
    expect(curve.locator("svg")).to_contain_text("745")
    expect(curve).to_contain_text("above 732")
    assert keys.locator(":focus").get_attribute("value") is not None and curve.locator("svg").count() == 1
    firing.refresh_from_db()
    assert firing.segments[-1]["to_c"] == 732
    keys.keyboard.press("Control+A")
    keys.keyboard.type("720")
    expect(curve.locator("svg")).to_contain_text("720")
    expect(curve).to_contain_text("Within all limits for firings")
    keys.keyboard.press("Enter")
    expect(keys.get_by_role("heading", name="Equipment")).to_be_visible()
    firing.refresh_from_db()
    assert firing.segments[-1]["to_c"] == 720


def test_a_wax_is_weighed_in(keys: Page, day, student):
    keys.goto(f"/days/{day.pk}/weigh-in/")
    chosen(keys, "Student", "Sunniva")
    typed(keys, {"Weight": "3.20"})
    chosen(keys, "On a rubber base?", "no")
    typed(keys, {"What it is": "plain band"})
    chosen(keys, "Metal", "Sterling")
    chosen(keys, "Material", "Carving")
    typed(keys, {"Width, mm": "22", "Depth, mm": "8", "Height, mm": "33"})
    chosen(keys, "Thinnest part", "medium")
    tab_to(keys, "button", "Weigh in")
    keys.keyboard.press("Enter")
    expect(keys.get_by_role("status").first).to_be_visible()
    assert str(Wax.objects.get().wax_g.normalize()) == "3.2"


def test_a_flask_is_marked_invested_and_set_back(keys: Page, day, student, teacher):
    handed_in(day, student)
    make_plan(day, by=teacher)
    keys.goto(f"/days/{day.pk}/flasks/")
    tab_to(keys, "button", "A is invested")
    keys.keyboard.press("Enter")
    tab_to(keys, "button", "Undo: A is not invested")
    assert day.flasks.get(label="A").state == Flask.State.INVESTED
    keys.keyboard.press("Space")
    expect(keys.get_by_role("button", name="A is invested")).to_be_visible()
    assert day.flasks.get(label="A").state == Flask.State.PLANNED
