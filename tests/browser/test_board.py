"""The board in a real browser: a wax carried by pointer, touch, keys and a plain form; undone, reloaded, shared."""

import re
from decimal import Decimal

import pytest
from playwright.sync_api import Browser, Page, expect

from casting.models import FlaskSize, Plan
from casting.services import searches
from casting.services.board import take_step
from casting.services.board_moves import Move
from casting.services.waxes import withdraw
from tests.browser.conftest import opened
from tests.browser.walking import sign_in
from tests.casting.planned import make_plan
from tests.casting_factories import DayFactory, handed_in, wax_entry
from tests.waiting import until

pytestmark = pytest.mark.django_db(transaction=True)

LAPTOP = {"viewport": {"width": 1280, "height": 800}}
TABLET = {"viewport": {"width": 820, "height": 1180}, "has_touch": True}


@pytest.fixture
def day(course, student, teacher):
    """Six plain bands in sterling and one in bronze, planned by the computer."""
    day = DayFactory(course=course)
    bronze = next(alloy for alloy in day.alloys.all() if alloy.key == "si-bronze")
    for _nth in range(6):
        handed_in(day, student)
    handed_in(day, student, alloy=bronze)
    assert wax_entry(day).alloy != bronze
    make_plan(day, teacher)
    return day


def home(day):
    plan = Plan.objects.latest_of(day)
    return {wax["key"]: flask["label"] for flask in plan.file["flasks"] for wax in flask["waxes"]}


def bronze(day):
    """The bronze wax and its flask."""
    tag = day.waxes.get(alloy__key="si-bronze").tag
    return tag, home(day)[tag]


def a_wax(day):
    """A silver wax that does not stand alone, and its flask."""
    plan = Plan.objects.latest_of(day)
    flask = next(one for one in plan.file["flasks"] if one["alloy"] == "sterling" and len(one["waxes"]) > 1)
    return flask["waxes"][0]["key"], flask["label"]


@pytest.fixture
def board(chromium: Browser, live_server, complaints, day, teacher):
    """Opens the board in a browser of its own, signed in."""
    contexts = []

    def at(size, *, script=True) -> Page:
        context, page = opened(chromium, live_server.url, complaints, **size, java_script_enabled=script)
        contexts.append(context)
        sign_in(context, teacher, live_server.url)
        page.goto(f"/days/{day.pk}/board/")
        return page

    yield at
    # A refused step is answered with 422, which the browser's console counts as an error.
    complaints[:] = [one for one in complaints if "422" not in one]
    for context in contexts:
        context.close()


def middle(box):
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def wax(page: Page, tag: str):
    return page.locator(f"#wax-{tag} rect")


def flask(page: Page, label: str):
    return page.locator(f'#board [data-flask="{label}"]')


def test_by_pointer_to_an_empty_flask_and_undone(board, day):
    page = board(LAPTOP)
    tag, label = a_wax(day)
    page.mouse.move(*middle(wax(page, tag).bounding_box()))
    page.mouse.down()
    page.mouse.move(*[one + 12 for one in middle(wax(page, tag).bounding_box())], steps=3)
    other = bronze(day)[1]
    # Every flask says at once what it thinks of it.
    expect(flask(page, other).locator(".answer")).to_have_text(re.compile(f"{other} is .*ronze"))
    page.mouse.move(*middle(page.locator(".chip").first.bounding_box()), steps=4)
    page.mouse.up()
    expect(page.locator("#undo")).to_contain_text(f"{tag} to flask")
    new = home(day)[tag]
    assert new != label
    expect(flask(page, new).locator(f"#wax-{tag}")).to_be_visible()
    page.reload()
    page.locator("#undo").click()
    expect(flask(page, label).locator(f"#wax-{tag}")).to_be_visible()
    assert home(day)[tag] == label


def test_by_touch_left_out(board, day):
    page = board(TABLET)
    tag, _label = a_wax(day)
    start = middle(wax(page, tag).bounding_box())
    end = middle(page.locator('.chip[data-flask="out"]').bounding_box())
    session = page.context.new_cdp_session(page)

    def touch(kind, *points):
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y} for x, y in points]})

    touch("touchStart", start)
    for share in (0.1, 0.4, 0.7, 1):
        touch("touchMove", tuple(a + (b - a) * share for a, b in zip(start, end, strict=True)))
    touch("touchEnd")
    expect(page.locator("#undo")).to_contain_text(f"{tag} left out")
    assert tag not in home(day)


def test_by_keys_alone(board, day):
    page = board(LAPTOP)
    tag, label = a_wax(day)
    page.locator(f"#wax-{tag}").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_contain_text("Picked up.")
    page.keyboard.press("Escape")
    expect(page.locator("#said")).to_have_text("Put back.")
    page.keyboard.press("Space")
    expect(page.locator("#said")).to_contain_text("Picked up.")
    for _nth in range(20):
        page.keyboard.press("ArrowRight")
        if page.locator(".chip[data-verdict=takes].over-flask").count():
            break
    expect(page.locator("#said")).to_contain_text("takes it")
    page.keyboard.press("Enter")
    expect(page.locator("#undo")).to_contain_text(f"{tag} to flask")
    assert home(day)[tag] != label
    # The focus is still on the wax: nothing jumped.
    expect(page.locator(f"#wax-{tag}")).to_be_focused()


def test_by_a_plain_form_without_a_script(board, day):
    page = board(TABLET, script=False)
    tag, label = a_wax(day)
    page.locator(f"#wax-{tag}").click()
    page.get_by_role("button", name=re.compile("^to a new flask")).first.click()
    assert home(day)[tag] != label
    expect(page.locator(f"#wax-{tag}.in-hand")).to_be_visible()
    page.locator("#undo").click()
    assert home(day)[tag] == label


def test_a_wax_that_a_flask_refuses_goes_back_and_the_figure_is_said(board, day):
    page = board(LAPTOP)
    tag, label = a_wax(day)
    before = Plan.objects.latest_of(day).revision
    page.mouse.move(*middle(wax(page, tag).bounding_box()))
    page.mouse.down()
    x, y = middle(flask(page, bronze(day)[1]).locator("svg").bounding_box())
    page.mouse.move(x, y, steps=5)
    page.mouse.up()
    expect(page.locator("#said")).to_contain_text("ronze")
    assert Plan.objects.latest_of(day).revision == before and home(day)[tag] == label


def test_an_answer_that_comes_after_the_wax_was_put_back_is_not_for_it(board, day):
    page = board(LAPTOP)
    tag, _label = a_wax(day)
    page.evaluate("""() => {
      const text = Response.prototype.text;
      Response.prototype.text = function () {
        return new Promise((done) => { window.arrive = () => done(text.call(this)); });
      };
    }""")
    page.locator(f"#wax-{tag}").focus()
    page.keyboard.press("Enter")
    until(lambda: page.evaluate("Boolean(window.arrive)"))
    page.keyboard.press("Escape")
    page.evaluate("arrive()")
    expect(page.locator("#said")).to_have_text("Put back.")
    expect(page.locator("#board [data-verdict]")).to_have_count(0)


def test_two_teachers_at_one_board(board, day):
    one, two = board(LAPTOP), board(LAPTOP)
    tag, _label = a_wax(day)
    other = next(key for key in home(day) if key != tag)
    two.locator(f"#wax-{other}").click()
    expect(two.locator("#hand h2")).to_contain_text(other)
    one.locator(f"#wax-{tag}").click()
    one.get_by_role("button", name="Leave out").click()
    expect(one.locator("#undo")).to_contain_text(f"{tag} left out")
    two.get_by_role("button", name="Leave out").click()
    expect(two.locator("#said")).to_contain_text("was quicker")
    expect(two.locator("#said")).to_contain_text(f"{tag} left out")
    # The board is the one that stands, and the step is one press away.
    assert tag not in home(day) and other in home(day)
    two.get_by_role("button", name="Leave out").click()
    expect(two.locator("#undo")).to_contain_text(f"{other} left out")
    expect(one.locator("#news")).to_contain_text("The board has changed since you looked.", timeout=15_000)


def test_no_page_jumps(board, day):
    page = board({"viewport": {"width": 1280, "height": 500}})
    tag, _label = a_wax(day)
    page.locator(f"#wax-{tag}").click()
    expect(page.locator("#hand h2")).to_contain_text(tag)
    page.evaluate("scrollTo(0, 120)")
    at = page.evaluate("scrollY")
    page.get_by_role("button", name=re.compile("^Keep in ")).click()
    expect(page.locator("#undo")).to_contain_text("kept")
    assert page.evaluate("scrollY") == at
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_finger_has_48_pixels(board, day):
    page = board(TABLET)
    for one in page.locator("#board a.wax, #board button:visible, #board h2 a").all():
        box = one.bounding_box()
        assert box["height"] >= 47.9 and box["width"] >= 47.9, one.get_attribute("id")


def test_a_few_waxes_as_one_likes_and_the_computer_does_the_rest(board, day, monkeypatch):
    """From the empty board, with nothing read: three waxes carried onto empty flasks, then the one filled button."""
    # On a slow machine the page goes on before the search has ended, and its plan is offered.
    monkeypatch.setattr(searches, "PATIENCE_S", 60)
    Plan.objects.filter(day=day).delete()
    page = board(TABLET)
    expect(page.locator("h1")).to_have_text("7 waxes, none in a flask")
    put = [wax.tag for wax in day.waxes.filter(alloy__key="sterling").order_by("tag")[:2]]
    for nth, tag in enumerate(put):
        page.mouse.move(*middle(wax(page, tag).bounding_box()))
        page.mouse.down()
        page.mouse.move(*middle(page.locator("[data-flask^='size:']").nth(3).bounding_box()), steps=6)
        page.mouse.up()
        expect(page.locator("#undo")).to_contain_text(f"{tag} to flask {'AB'[nth]}")
    page.reload()
    page.get_by_role("button", name="Let the computer do the rest").click()
    expect(page.locator("h1")).to_contain_text("7 waxes in", timeout=120_000)
    assert [home(day)[tag] for tag in put] == ["A", "B"]
    # What was put by hand is kept, and said to be.
    assert page.locator(".wax.kept").count() == 2


@pytest.fixture
def tree(day, student, teacher):
    """A tree that holds all four of its waxes, one of them carried up to a second tier."""
    FlaskSize.objects.exclude(key="102x102").delete()
    FlaskSize.objects.update(mount="tree", height_mm=152.4, count=1)
    for one in day.waxes.all():
        withdraw(one, by=teacher, version=one.version)
    for _nth in range(4):
        handed_in(day, student, wax_g=Decimal("1.20"))
    made = make_plan(day, teacher)
    up = min(home(day))
    take_step(day, Move("carry", tag=up, label="A", tier=2), revision=made.revision, by=teacher)
    return day, up


def hangs(day):
    (flask,) = Plan.objects.latest_of(day).file["flasks"]
    return {wax["key"]: (wax["tier"], wax["x_mm"], wax["y_mm"]) for wax in flask["waxes"]}


def test_by_pointer_from_tier_to_tier_of_a_tree(board, tree):
    """Carried to the side of the second tier where nobody hangs: it stands there, and in no other tier."""
    day, up = tree
    before = hangs(day)
    tag = max(key for key, (tier, _x, _y) in before.items() if tier == 1)
    page = board(LAPTOP)
    ring = page.locator('[data-tier="2"]')
    x, y = ring.evaluate("svg => { const at = svg.getScreenCTM(); return [at.e, at.f]; }")
    there = middle(wax(page, up).bounding_box())
    page.mouse.move(*middle(wax(page, tag).bounding_box()))
    page.mouse.down()
    page.mouse.move(2 * x - there[0], 2 * y - there[1], steps=4)
    expect(flask(page, "A").locator(".answer")).not_to_be_empty()
    page.mouse.up()
    expect(page.locator("#undo")).to_contain_text(f"{tag} to tier 2 of A")
    expect(ring.locator(f"#wax-{tag}")).to_be_visible()
    after = hangs(day)
    assert after[tag][0] == 2 and {key: after[key] for key in after if key != tag} == {
        key: before[key] for key in before if key != tag
    }
    # Opposite the one that hung there: the drawing counts mm from the trunk, y upward.
    assert all(abs(mine + theirs) < 1.5 for mine, theirs in zip(after[tag][1:], before[up][1:], strict=True))
