"""Two plans side by side, accidents and what to cross out, in a real browser on a laptop and a tablet."""

import pytest
from playwright.sync_api import expect

from casting.models import Plan
from casting.services.board import take_step
from casting.services.board_moves import Move
from tests.browser.conftest import opened
from tests.browser.walking import sign_in
from tests.casting.planned import make_plan
from tests.casting_factories import DayFactory, handed_in

pytestmark = pytest.mark.django_db(transaction=True)
LAPTOP, TABLET = {"width": 1280, "height": 800}, {"width": 820, "height": 1180}
SMALLEST_TAG = """() => Math.min(...[...document.querySelectorAll('.small-flask text')].map(
  one => parseFloat(getComputedStyle(one).fontSize) * one.getScreenCTM().a))"""


@pytest.fixture
def day(course):
    return DayFactory(course=course)


@pytest.fixture
def at(chromium, live_server, complaints, teacher):
    """Opens a page of the site as the teacher, on a laptop."""
    contexts = []

    def page_of(address):
        context, page = opened(chromium, live_server.url, complaints, viewport=LAPTOP)
        contexts.append(context)
        sign_in(context, teacher, live_server.url)
        page.goto(address)
        return page

    yield page_of
    for context in contexts:
        context.close()


def test_the_computers_plan_is_looked_at_beside_ones_own_and_taken(at, day, student, teacher):
    tags = [handed_in(day, student).tag for _nth in range(6)]
    make_plan(day, teacher)
    take_step(day, Move("out", tag=tags[0]), revision=1, by=teacher)
    page = at(f"/days/{day.pk}/board/")
    page.get_by_role("link", name="Two plans side by side").click()
    ours, theirs = page.locator(".plan-beside").all()
    expect(ours).to_contain_text(f"In no flask: {tags[0]}")
    expect(theirs.locator(".marked").first).to_be_visible()
    for size in (LAPTOP, TABLET):
        page.set_viewport_size(size)
        # Nothing of either row is cut off at the right, and tags are 14 px and up: read at arm's length.
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert page.evaluate(SMALLEST_TAG) >= 14
    page.get_by_role("button", name="Take this one").click()
    expect(page.locator("#undo")).to_contain_text("revision 1 brought back")
    one, three = (Plan.objects.get(day=day, revision=nth) for nth in (1, 3))
    assert one.plan_file == three.plan_file


def test_a_flask_leaks_a_wax_breaks_and_what_changed_is_read_on_the_board(at, day, student, teacher):
    tags = [handed_in(day, student).tag for _nth in range(6)]
    make_plan(day, teacher)
    page = at(f"/days/{day.pk}/board/?wax={tags[0]}")
    page.get_by_role("button", name="It broke").click()
    expect(page.locator("#undo")).to_contain_text(f"{tags[0]} broke")
    page.locator("#put-away").click()
    page.get_by_text("What changed since revision 1").click()
    expect(page.locator("#changes")).to_contain_text(f"\N{MINUS SIGN}{tags[0]}")
    page.goto(f"/days/{day.pk}/board/?flask=A")
    page.get_by_role("button", name="It leaks: one fewer today").click()
    expect(page.locator("#undo")).to_contain_text("flask A leaks: taken out of use today")
    for size in (LAPTOP, TABLET):
        page.set_viewport_size(size)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.locator("#undo").click()
    expect(page.locator("#undo")).to_contain_text(f"{tags[0]} broke")
    page.locator("#undo").click()
    expect(page.locator("#undo")).to_be_disabled()
    assert Plan.objects.latest_of(day).plan_file == Plan.objects.get(day=day, revision=1).plan_file
