"""Every page as each person sees it, in each state of the day: axe-core, keys, 200 %, 320 px, light, dark, still."""

from __future__ import annotations

import pytest

from casting.models import Investment, SafetyRecord
from casting.services import day_life, searches
from school.demo import issue_link
from school.invitations import issue_school_link
from school.models import Role, School
from school.team import invite
from tests.addresses import ROUTES, addresses
from tests.browser.conftest import opened
from tests.browser.walking import complaints_of, sign_in, walk, with_axe
from tests.casting.planned import make_plan, start_here
from tests.casting.views.test_roles import OF
from tests.casting_factories import DayFactory, handed_in
from tests.factories import PersonFactory, StudentFactory
from tests.states import with_little, with_much

pytestmark = pytest.mark.django_db(transaction=True)

FILES = (".csv", ".ics", ".jpg", ".js", ".pdf", ".zip")
POSTED = """
    come_back_here keep_own_photo hand_in_photo
    sign_out withdraw_wax bring_back_wax set_up_on parts_echo firing_echo move_thing day_state close_waxes hold_wax
    return_wax make_plan end_search saves take_sooner clear_caution take_clearance_back invested_at mark_flask mark_kiln
    leave invite_again withdraw_invitation put_away new_code undo_code merge_student remove_student undo_change
    open_or_close
    papers_in_one papers_zip board_step board_spot board_rest board_offer board_bring_back
    poured_at take_back take_back_stock pay_bill tick kiln_reading take_back_defect keep_photo take_second
    take_learned weigh_base note_bowl count_on_gloss mishap recast_piece put_on_recast keep_defect_photo
    keep_base_photo
"""
ONLY_POSTED = set(POSTED.split())
"""Addresses of a button or of a part of a page: opened, they lead to the page that has it."""
SEEN_BELOW = {"search", "spell_name", "my_name", "first_teacher", "invited", "open_demo"}
"""Pages that a search, a name or a token opens; each has a test of its own here."""
WORDED_ELSEWHERE = {"keeper_sign_in", "hand_in"}
"""They lead to the sign-in and to the one day that is open."""
START_CHILD = searches.start_child
UNPRINTABLE = "\N{CJK UNIFIED IDEOGRAPH-5C71}\N{CJK UNIFIED IDEOGRAPH-7530}"


@pytest.fixture
def day(course, monkeypatch):
    monkeypatch.setattr(searches, "start_child", start_here)
    return DayFactory(course=course)


@pytest.fixture
def browsed(chromium, live_server):
    """Open a browser as somebody; what is refused in words counts among the errors of its console, so none is kept."""
    contexts = []

    def by(who):
        context, page = opened(chromium, live_server.url, [])
        contexts.append(context)
        with_axe(context)
        sign_in(context, who, live_server.url)
        return page

    yield by
    for context in contexts:
        context.close()


def places(roles, rows, school, only=()):
    """The addresses that somebody of these roles may open, with their names; files are no pages."""
    for name, given in ROUTES:
        if OF[name] in roles and name not in ONLY_POSTED and set(only) <= set(given):
            for address in addresses(name, given, rows, school):
                if not address.endswith(FILES):
                    yield name, address


def all_right(page, asked, whole=True):
    """Every one of these pages is shown, and nothing is wrong with it."""
    asked = list(asked)
    shown, wrong = walk(page, asked, whole)
    assert wrong == {}
    assert {name for name, _address in asked} - shown <= SEEN_BELOW | WORDED_ELSEWHERE


def test_every_page_of_a_teacher_with_much_on_it(browsed, day, student, teacher, school):
    rows = with_little(day, student, teacher)
    with_much(day, student, teacher)
    all_right(browsed(teacher), places(("teacher", "helper"), rows, school))


def test_every_page_of_a_helper(browsed, day, student, teacher, school):
    rows = with_little(day, student, teacher)
    helper = browsed(PersonFactory(school=school, role=Role.HELPER))
    all_right(helper, places(("helper",), rows, school), whole=False)


def test_every_page_of_a_student_with_much_on_it(browsed, day, student, teacher, school):
    rows = with_little(day, student, teacher)
    with_much(day, student, teacher)
    all_right(browsed(student), places(("student",), rows, school))


def test_every_page_of_a_stranger(browsed, course, teacher, school):
    School.objects.filter(pk=school.pk).update(is_demo=True)
    teacher.refresh_from_db()
    by_token = [
        ("first_teacher", f"/first-teacher/?token={issue_school_link()}"),
        ("invited", f"/invited/?token={invite(teacher, 'Nadia Ferro', Role.HELPER)[1]}"),
        ("open_demo", f"/demo/?token={issue_link(teacher, '/days/')}"),
    ]
    page = browsed(None)
    all_right(page, places(("anybody",), {"code": course.code}, school))
    assert walk(page, by_token) == ({"first_teacher", "invited", "open_demo"}, {})
    page.goto("/nowhere/")
    assert complaints_of(page) == []


def test_a_name_that_papers_cannot_print(browsed, course, teacher):
    student = StudentFactory(course=course, called=UNPRINTABLE)
    assert walk(browsed(student), [("my_name", "/name/")]) == ({"my_name"}, {})
    place = ("spell_name", f"/classes/students/{student.pk}/name/")
    assert walk(browsed(teacher), [place, ("people", "/classes/")]) == ({"spell_name", "people"}, {})


def test_a_school_with_nothing_yet(browsed, teacher, school):
    asked = places(("teacher", "helper"), {"person_id": teacher.pk}, None)
    all_right(browsed(teacher), [one for one in asked if "/new/" not in one[1] or "days" in one[1]], whole=False)


def test_fourteen_waxes_stand_on_one_laptop_screen(browsed, day, student, teacher):
    """The last is seen without a scroll, under the day and its buttons."""
    for nth in range(14):
        owner = StudentFactory(course=day.course, called=f"Idris Calloway-Ferrand {nth}")
        handed_in(day, owner, what="leaf ring, thin edges" if nth % 2 else "tall reed stem, for a brooch")
    page = browsed(teacher)
    page.set_viewport_size({"width": 1280, "height": 800})
    page.goto(f"/days/{day.pk}/waxes/")
    last = page.locator(".short-lines tbody tr").nth(13).bounding_box()
    assert last is not None and last["y"] + last["height"] <= 800


@pytest.fixture
def begin_without_end(monkeypatch):
    """Begin a search that goes on until the test is over; nobody waits for it."""
    started = []

    def begin(day, by):
        monkeypatch.setattr(searches, "start_child", lambda *asked: started.append(START_CHILD(*asked)) or started[-1])
        monkeypatch.setattr(searches, "CHILD", ("-c", "import time\nwhile True: time.sleep(60)"))
        monkeypatch.setattr(searches, "_watch", lambda search, child: None)
        searches.begin(day, by)

    yield begin
    for child in started:
        child.kill()
        child.wait()


CHANGE_WITH_THE_DAY = {"waxes", "flasks", "day_plan", "papers", "change_day", "weigh_in", "search"}


def test_a_day_in_each_state(browsed, day, student, teacher, school, begin_without_end):
    page, phone = browsed(teacher), browsed(student)
    of_the_day = places(("teacher", "helper"), {"day_id": day.pk}, school, ["day_id"])
    asked = [one for one in of_the_day if one[0] in CHANGE_WITH_THE_DAY]
    seen = set()

    def all_right_now(searching=False):
        shown, wrong = walk(page, asked, whole=False, seen=seen)
        assert wrong == {} and {"waxes", "papers"} <= shown
        assert ("search" in shown) is searching
        assert walk(phone, [("my_waxes", "/my-waxes/")], whole=False, seen=seen) == ({"my_waxes"}, {})

    all_right_now()  # without a wax
    handed_in(day, student)
    all_right_now()  # not planned
    offered = Investment.objects.filter(school=school, offered=True)
    kept = list(offered.values_list("pk", flat=True))
    offered.update(offered=False)
    all_right_now()  # refused
    page.goto(f"/days/{day.pk}/waxes/")
    assert "No plan can be made" in page.inner_text("main")
    Investment.objects.filter(pk__in=kept).update(offered=True)
    record = SafetyRecord.objects.get(school=school)
    record.delete()
    make_plan(day, by=teacher)
    all_right_now()  # held back
    record.save()
    day_life.cancel(day, "the pump is broken", by=teacher)
    all_right_now()  # cancelled
    day_life.uncancel(day, by=teacher)
    begin_without_end(day, teacher)
    all_right_now(searching=True)


REFUSED = ["sign_in", "join", "me", "team", "school_page", "people", "new_day", "safety", "rubber_bases", "new_thing"]
REFUSED += ["stock", "prices"]
REFUSED += ["house_rules", "set_up_list", "weigh_in", "correct_wax", "change_day", "roster", "student"]


def test_a_form_with_nothing_right_in_it(browsed, day, student, teacher, school):
    """What is refused is said in a page that is as right as the others; the boxes hold more than fits them."""
    rows = with_little(day, student, teacher)
    page, wrong = browsed(teacher), {}
    once = dict(reversed(list(places(("anybody", "helper", "teacher"), rows, school))))
    for name, address in once.items():
        if name in REFUSED:
            page.goto(address)
            with page.expect_navigation():
                page.evaluate(SPOIL)
            assert page.locator("[role=alert], .errors, .field-wrong, .status").count(), address
            wrong |= {address: said} if (said := complaints_of(page, whole=False)) else {}
    assert wrong == {}


SPOIL = """() => {
  const boxes = 'input:not([type=hidden]), select, textarea';
  const form = [...document.querySelectorAll('main form[method=post]')].find(one => one.querySelector(boxes));
  for (const one of form.querySelectorAll('input[type=text], input:not([type]), input[inputmode]')) {
    one.value = 'W'.repeat(90);
  }
  form.noValidate = true;
  form.requestSubmit(form.querySelector('button[type=submit]'));
}"""
