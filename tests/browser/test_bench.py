"""The tablet at the torch while the network is gone: nothing is lost, clocks go on from when a thing began."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from casting.models import Flask, FlaskMishap, KilnReading, StepRecord
from casting.services import searches
from casting.services.flasks import fix_flask
from casting.services.running.readings import note_reading
from casting.services.running.ticks import Press, press
from tests.browser.conftest import opened
from tests.browser.walking import sign_in
from tests.casting.planned import make_plan, start_here
from tests.casting_factories import DayFactory, handed_in

pytestmark = pytest.mark.django_db(transaction=True)
CLOCK = re.compile(r"^\d+:\d\d(:\d\d)?$")


@pytest.fixture
def day(course, student, teacher, monkeypatch):
    """Two invested flasks, the checks ticked; their kiln is on and their pours are due."""
    monkeypatch.setattr(searches, "start_child", start_here)
    day = DayFactory(course=course)
    handed_in(day, student)
    handed_in(day, student, own_metal=True)
    plan = make_plan(day, by=teacher)
    for row in plan.file["flasks"]:
        fix_flask(day, row["label"], Flask.State.INVESTED, by=teacher)
    due = min(dt.datetime.fromisoformat(row["out_at"]) for row in plan.file["flasks"])
    ahead = due - timezone.now()
    now = timezone.now
    monkeypatch.setattr(timezone, "now", lambda: now() + ahead)
    for row in plan.file["firings"]:
        on_at = dt.datetime.fromisoformat(row["on_at"])
        StepRecord.objects.create(day=day, do="kiln_on", what=row["kiln"], done_at=on_at, by=teacher)
    for gate in ("dry", "gauge", "button"):
        press(day, Press("gate", gate, who="Nadia Ferro"), by=teacher)
    return day


@pytest.fixture
def tablet(chromium, live_server, teacher):
    """A teacher's tablet; lost connections are its subject, so its console may complain."""
    context, page = opened(chromium, live_server.url, [], viewport={"width": 820, "height": 1180})
    sign_in(context, teacher, live_server.url)
    yield context, page
    context.close()


def test_a_flask_is_poured_while_the_network_is_gone_and_arrives_with_its_time(day, tablet):
    context, page = tablet
    page.goto(f"/days/{day.pk}/pours/")
    expect(page.locator("#turn-A")).to_be_visible()
    context.set_offline(True)
    began = timezone.now()
    page.click("#tick-melting-A")
    page.click("#poured-A")
    # The next flask takes its place, and the clock of the first goes.
    expect(page.locator("#turn-B")).to_be_visible()
    expect(page.locator("#here [role=status]")).to_have_text(re.compile("2 waiting for the network"))
    expect(page.locator("#here li b").last).to_have_text(CLOCK)
    assert not StepRecord.objects.filter(do="pour").exists()
    noted_by = timezone.now()
    context.set_offline(False)
    expect(page.locator("#standing-A")).to_be_visible()
    expect(page.locator("#here [role=status]")).to_be_hidden()
    poured = StepRecord.objects.get(do="pour", what="A").done_at
    assert began - dt.timedelta(seconds=2) <= poured <= noted_by + dt.timedelta(seconds=2)
    expect(page.locator("#standing-A [data-since]")).to_have_text(CLOCK)


def test_a_press_is_undone_before_it_leaves_and_one_of_somebody_else_is_seen(day, tablet, teacher):
    context, page = tablet
    page.goto(f"/days/{day.pk}/pours/")
    context.set_offline(True)
    page.click("#tick-melting-A")
    expect(page.locator("#here li")).to_have_count(1)
    page.locator("#here li button").click()
    expect(page.locator("#here li")).to_have_count(0)
    # Another flask is looked at without a connection, too.
    page.locator(".then a", has_text="B").click()
    expect(page.locator("#turn-B")).to_be_visible()
    expect(page.locator("#turn-A")).to_be_hidden()
    context.set_offline(False)
    page.goto(f"/days/{day.pk}/pours/")
    page.click("#poured-A")
    expect(page.locator("#standing-A")).to_be_visible()
    assert not StepRecord.objects.filter(do="melting").exists()
    press(day, Press("gauge", "B"), by=teacher)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#tick-gauge-B")).to_have_attribute("aria-pressed", "true")
    # What the school refuses is said, and waits no more.
    page.click("#tick-quench-A")
    expect(page.locator("main > .status")).to_have_text(re.compile("too soon"))
    expect(page.get_by_role("button", name="A is in the water all the same")).to_be_visible()
    expect(page.locator("#here li")).to_have_count(0)


def test_a_press_of_another_page_arrives_and_what_is_open_here_stays_and_is_fresh(day, tablet, teacher):
    context, page = tablet
    page.goto(f"/days/{day.pk}/kiln-room/")
    context.route("**/kiln-room/reading/", lambda route: route.abort())
    page.fill("#reads", "640")
    page.get_by_role("button", name="Note it").click()
    expect(page.locator("#here li")).to_have_count(1)
    page.goto(f"/days/{day.pk}/pours/")
    expect(page.locator("#here li")).to_have_count(1)
    context.unroute("**/kiln-room/reading/")
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#here li")).to_have_count(0)
    expect(page.locator("#turn-A")).to_be_visible()
    row = KilnReading.objects.get()
    page.goto(f"/days/{day.pk}/kiln-room/")
    page.click(".read-all summary")
    page.locator(".read-all button").click()
    expect(page.locator(".read-all")).to_have_count(0)
    page.click(".power summary")
    page.focus("#reads")
    note_reading(day, row.kiln, "641", by=teacher)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator(".read-all summary")).to_have_text(re.compile("Read 641"))
    expect(page.locator("#reads")).to_be_focused()
    expect(page.locator(".power ul")).to_be_visible()


def test_what_goes_wrong_without_a_connection_says_what_to_do_at_once_and_arrives_once(day, tablet):
    context, page = tablet
    page.goto(f"/days/{day.pk}/pours/")
    context.set_offline(True)
    began = timezone.now()
    page.click(".mishap > summary")
    page.locator(".which label", has_text="B").click()
    page.click(".mishap-leaked summary")
    expect(page.get_by_text("Never water: water and molten metal explode.").first).to_be_visible()
    for _twice in range(2):
        page.locator(".mishap-leaked button", has_text="Nothing is in it").click()
    expect(page.locator("#here li")).to_have_count(1)
    expect(page.locator("#here li span")).to_have_text(re.compile("^B It leaks: Nothing is in it"))
    # What to do stays in sight while the press waits.
    expect(page.get_by_text("Never water: water and molten metal explode.").first).to_be_visible()
    noted_by = timezone.now()
    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#went-wrong")).to_contain_text("B leaked")
    expect(page.locator("#here li")).to_have_count(0)
    expect(page.locator(".mishap-leaked button").first).to_be_hidden()
    met = FlaskMishap.objects.get()
    assert (met.label, met.left) == ("B", "none")
    assert began - dt.timedelta(seconds=2) <= met.at <= noted_by + dt.timedelta(seconds=2)


def test_a_bowl_is_begun_and_a_base_weighed_without_a_network_and_the_clock_goes_on(
    chromium, live_server, teacher, course, student, monkeypatch
):
    monkeypatch.setattr(searches, "start_child", start_here)
    day = DayFactory(course=course)
    grams = sum(float(handed_in(day, student).wax_g) for _nth in range(2))
    plan = make_plan(day, by=teacher)
    (bowl,) = ("+".join(row["flasks"]) for row in plan.file["bowls"])
    context, page = opened(chromium, live_server.url, [], viewport={"width": 820, "height": 1180})
    sign_in(context, teacher, live_server.url)
    page.goto(f"/days/{day.pk}/mounting/")
    context.set_offline(True)
    page.fill("#reads-A", f"{20 + grams:.2f}")
    page.fill("#alone-A", "20")
    page.click("#turn-A .poured")
    expect(page.locator("#here li")).to_have_count(1)
    expect(page.locator("#turn-A")).to_be_hidden()
    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator(".weighed")).to_contain_text("of wax")
    page.goto(f"/days/{day.pk}/mixing/")
    page.click(f"[id='tick-mixing-{bowl}']")
    # Reckoned from the powder in the water, so a page that is opened again goes on with it.
    expect(page.locator(".turn-time [data-until]")).to_have_text(re.compile(r"^[89]:\d\d$"))
    page.reload()
    expect(page.locator(".turn-time [data-until]")).to_have_text(re.compile(r"^[89]:\d\d$"))
    context.set_offline(True)
    page.click(f"[id='turn-{bowl}'] .poured")
    expect(page.locator("#here li")).to_have_count(1)
    assert not Flask.objects.filter(day=day, state=Flask.State.INVESTED).exists()
    context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator(f"[id='filled-{bowl}']")).to_be_visible()
    assert day.states() == dict.fromkeys(bowl.split("+"), Flask.State.INVESTED)
    context.close()
