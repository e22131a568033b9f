"""A search in sight, in a real browser: the best so far comes by itself, and is kept when it is stopped."""

import json

import pytest
from playwright.sync_api import Page, expect

from casting.calc.plan_day import plan_day
from casting.dayfile import read, write
from casting.models import Search
from casting.selectors.day_file import day_file_of
from casting.selectors.searches import folder_of
from casting.services import searches
from tests.browser.walking import sign_in
from tests.casting_factories import DayFactory, handed_in

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_best_so_far_comes_by_itself_and_is_kept(desk: Page, live_server, course, teacher, monkeypatch):
    day = DayFactory(course=course)
    handed_in(day)
    values = read(day_file_of(day))
    line = json.dumps(json.loads(write(plan_day(values.day, 1), values)))
    monkeypatch.setattr(searches, "PATIENCE_S", 0)
    monkeypatch.setattr(searches, "CHILD", ("-c", "import time\nwhile True: time.sleep(60)"))

    sign_in(desk.context, teacher, live_server.url)
    desk.goto(f"/days/{day.pk}/waxes/")
    desk.get_by_role("button", name="Make the plan").click()
    expect(desk.get_by_text("Looking for the first plan.")).to_be_visible()
    (folder_of(Search.objects.get()) / "found").write_text(line + "\n")
    expect(desk.get_by_text("1 wax in 1 flask.")).to_be_visible()
    expect(desk.locator("svg.small-flask")).to_be_visible()
    desk.get_by_role("button", name="Stop and keep the best so far").click()
    expect(desk.get_by_text("weigh out", exact=True)).to_be_visible()
