"""One whole invented day in a browser, from hand-in to bills: every gram and every cent is where it belongs."""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal as D

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from casting.models import Account, Plan, StepRecord, Wax
from casting.selectors.account.balances import balances_of
from casting.services import searches
from tests.browser.conftest import PHONE, opened
from tests.browser.test_straight_path import fill_wax
from tests.browser.walking import sign_in
from tests.casting.account_days import all_zero
from tests.casting.planned import start_here
from tests.casting_factories import DayFactory, handed_in
from tests.factories import StudentFactory

pytestmark = pytest.mark.django_db(transaction=True)
WEIGHED_BACK = {
    "A": {"wax": "40.31", "button": "12.4", "sprues": "4.3"},
    "B": {"sweeps": "44.2"},
    "C": {"wax": "24.8", "button": "7.9", "sprues": "2.5"},
}
PRICES = {
    "A gram of sterling silver": "1.60",
    "A gram of silicon bronze": "0.20",
    "Each piece": "6",
    "Class fee": "20",
    "Least of a bill": "25",
}


class Clock:
    """The school's clock, which whoever plays the day moves on."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.ahead, real = dt.timedelta(), timezone.now
        monkeypatch.setattr(timezone, "now", lambda: real() + self.ahead)

    def to(self, at: dt.datetime) -> None:
        self.ahead += at - timezone.now()


@pytest.fixture
def clock(monkeypatch):
    monkeypatch.setattr(searches, "start_child", start_here)
    return Clock(monkeypatch)


@pytest.fixture
def day(course, clock):
    """A day on the morning after tomorrow: a sign-in outlives it."""
    return DayFactory(course=course, pour_at=(timezone.now() + dt.timedelta(days=2)).replace(second=0, microsecond=0))


@pytest.fixture
def phone(chromium, live_server, student):
    context, page = opened(chromium, live_server.url, [], **PHONE)
    sign_in(context, student, live_server.url)
    yield page
    context.close()


@pytest.fixture
def tablet(chromium, live_server, teacher):
    """Its clock can be moved on; lost connections are part of the day, so its console may complain."""
    context, page = opened(chromium, live_server.url, [], viewport={"width": 820, "height": 1180})
    sign_in(context, teacher, live_server.url)
    page.clock.install()
    yield page
    context.close()


def planned_at(plan: Plan, do: str) -> dt.datetime:
    """When a plan first does that."""
    return min(dt.datetime.fromisoformat(step["at"]) for step in plan.file["steps"] if step["do"] == do)


def weigh_in_late(page: Page, day, who) -> None:
    """A wax that comes after the plan is weighed in at the bench and put where nobody moves for it."""
    page.goto(f"/days/{day.pk}/board/")
    page.get_by_role("link", name="Weigh in a late wax").click()
    page.locator("#id_section").select_option("medium")
    chosen = {
        "student": who.called,
        "on_base": "no, the wax alone",
        "alloy": "Silicon bronze",
        "pattern": "Carving wax",
    }
    for name, label in chosen.items():
        page.locator(f"#id_{name}").select_option(label=label)
    typed = {"weight": "3.1", "what": "seed pod", "width_mm": "22", "depth_mm": "8", "height_mm": "31"}
    for name, value in typed.items():
        page.locator(f"#id_{name}").fill(value)
    page.get_by_role("button", name="Weigh in").click()
    expect(page.locator(".big-tag")).to_have_text(Wax.objects.latest("pk").tag)
    page.goto(f"/days/{day.pk}/board/")
    page.locator("#place").click()
    expect(page.locator("[data-flask=C]").first).to_be_visible()


def fire_late(page: Page, day, clock: Clock, plan: Plan) -> None:
    """Mixed when it is planned; the kiln comes on forty minutes late, and its page says what follows."""
    clock.to(planned_at(plan, "mix"))
    page.goto(f"/days/{day.pk}/flasks/")
    for label in "ABC":
        page.get_by_role("button", name=f"{label} is invested").click()
        expect(page.locator(f"#flask-{label} .mark")).to_have_text("invested")
    clock.to(planned_at(plan, "kiln_on") + dt.timedelta(minutes=40))
    page.goto(f"/days/{day.pk}/kiln-room/")
    expect(page.locator(".running-late")).to_contain_text("40 min behind")
    page.get_by_role("button", name="is on").click()
    page.locator("#reads").fill("96")
    page.get_by_role("button", name="Note it").click()
    expect(page.locator(".read-all")).to_be_attached()


def pour(page: Page, day, clock: Clock, plan: Plan) -> None:
    """The network goes for ten minutes, and the first flask is poured meanwhile; the others follow."""
    clock.to(planned_at(plan, "pour") + dt.timedelta(minutes=40))
    page.goto(f"/days/{day.pk}/pours/")
    expect(page.locator("#turn-A .turn-time")).to_contain_text("40 min late")
    for gate in [one.get_attribute("id") for one in page.locator(".gate .tick").all()]:
        page.locator(f"#{gate}").click()
        expect(page.locator(f"#{gate}")).to_have_attribute("aria-pressed", "true")
    page.context.set_offline(True)
    poured_at = timezone.now()
    page.locator("#poured-A").click()
    expect(page.locator("#turn-B")).to_be_visible()
    clock.to(poured_at + dt.timedelta(minutes=10))
    page.clock.fast_forward("10:00")
    expect(page.locator("#here li b")).to_have_text(re.compile(r"^10:\d\d$"))
    assert not StepRecord.objects.filter(do="pour").exists()
    page.context.set_offline(False)
    # It asks again every ten seconds.
    expect(page.locator("#standing-A")).to_be_visible(timeout=20_000)
    assert abs(StepRecord.objects.get(do="pour", what="A").done_at - poured_at) < dt.timedelta(minutes=1)
    for label in "BC":
        page.locator(f"#poured-{label}").click()
        expect(page.locator(f"#standing-{label}")).to_be_visible()
    leak(page, "B")


def leak(page: Page, label: str) -> None:
    """A flask runs out: what to do stands there at once, and its piece waits to be cast again."""
    page.locator("#mishap > summary").click()
    page.locator(f"#mishap-of-{label}").check()
    page.locator(".mishap-leaked > summary").click()
    expect(page.locator(".mishap-leaked .at-once")).to_contain_text("Never water")
    page.get_by_role("button", name="Nothing is in it").click()
    expect(page.locator("main")).to_contain_text(f"{label} leaked")


def give_back(page: Page, day, clock: Clock) -> None:
    clock.to(timezone.now() + dt.timedelta(minutes=25))
    page.goto(f"/days/{day.pk}/pours/")
    for label in "AC":
        page.locator(f"#tick-quench-{label}").click()
        expect(page.locator(f"#cooled-{label}")).to_be_visible()
    for label in "AC":
        flask = page.locator(f"[aria-labelledby=cooled-{label}]")
        flask.locator(".tick[aria-pressed=false]").click()
        expect(flask.locator(".tick[aria-pressed=true]")).to_have_count(2)


def book_stock(page: Page, owner) -> None:
    """Two lots are bought, and the owner brings her own silver."""
    page.goto("/stock/")
    for nth, (metal, grams) in enumerate((("Sterling silver", "200"), ("Silicon bronze", "150"))):
        if nth:
            page.get_by_text("A lot was bought").click()
        lot = page.locator("form:has(button[value=lot])")
        lot.get_by_label("Metal").select_option(label=metal)
        lot.get_by_label("Weight").fill(grams)
        lot.get_by_role("button", name="Book the lot").click()
    page.get_by_text("A student's own metal").click()
    own = page.locator("form:has(button[value=own_in])")
    own.get_by_label("Student").select_option(label=owner.called)
    own.get_by_label("Metal").select_option(label="Sterling silver")
    own.get_by_label("Weight").fill("52.4")
    own.get_by_role("button", name="It was brought").click()


def weigh(page: Page, day, label: str, charge_g: str) -> None:
    """Weigh a flask out as planned and back as it came, and settle it."""
    page.goto(f"/days/{day.pk}/account/{label}/")
    page.locator("form:has(button[value=weigh_out]) input[type=text]").fill(charge_g)
    page.get_by_role("button", name="Weighed out").click()
    back = page.locator("form:has(button[value=weigh_back])")
    for name, weight in WEIGHED_BACK[label].items():
        back.locator(f"input[name^={name}]").fill(weight)
    back.get_by_role("button", name="Weighed back").click()
    page.get_by_role("button", name="Settle the flask").click()
    expect(page.locator("h1")).to_have_text("Metal account")


def make_bills(page: Page, day) -> None:
    page.goto("/prices/")
    for label, price in PRICES.items():
        page.get_by_label(label, exact=label == "Each piece").first.fill(price)
    page.get_by_role("button", name="Save the prices").click()
    page.goto(f"/days/{day.pk}/bills/")
    page.get_by_role("button", name="Make the bills").click()
    page.get_by_role("button", name="Bill 1 is paid").click()
    expect(page.locator("main")).to_contain_text("paid")


def held(school, **of) -> list[D]:
    """What lies on the accounts of a kind, in the order in which they were opened."""
    rows = list(Account.objects.filter(school=school, **of).order_by("pk").values_list("pk", flat=True))
    found = balances_of(rows)
    return [found[row] for row in rows]


def test_a_whole_day_with_a_late_wax_a_late_kiln_a_leaked_flask_and_no_network(
    phone, tablet, clock, day, student, teacher, school
):
    owner, late = StudentFactory(course=day.course), StudentFactory(course=day.course)
    phone.goto(f"/hand-in/{day.pk}/")
    fill_wax(phone, "4,37")
    phone.get_by_role("button", name="Hand in").click()
    expect(phone.get_by_role("heading", name="Handed in")).to_be_visible()
    handed_in(day, owner, own_metal=True)
    tablet.goto(f"/days/{day.pk}/waxes/")
    tablet.get_by_role("button", name="Make the plan").click()
    expect(tablet.locator("#flask-B")).to_be_visible()
    weigh_in_late(tablet, day, late)
    plan = Plan.objects.latest_of(day)
    # 4.37 / 0.96 x 10.36 = 47.16 and 3.20 / 0.96 x 10.36 = 34.53 g of sterling, 3.1 / 0.96 x 8.36 = 27.0 of bronze,
    # each with the button of the smallest flask, 10 or 8.5 g, up to the next half gram.
    charges = {row["label"]: row["charge_g"] for row in plan.file["flasks"]}
    assert charges == {"A": 57.5, "B": 45.0, "C": 35.5}
    fire_late(tablet, day, clock, plan)
    pour(tablet, day, clock, plan)
    give_back(tablet, day, clock)
    book_stock(tablet, owner)
    for label, charge_g in charges.items():
        weigh(tablet, day, label, str(charge_g))
    make_bills(tablet, day)
    # 200 - 57.5 and 150 - 35.5 are left of the lots, 52.4 - 45 + 44.2 of the owner's; lost are 57.5 - 57.01 and 0.8 of
    # silver, 35.5 - 35.2 of bronze. Two bills: 40.31 x 1.60 = 64.50 and 24.8 x 0.20 = 4.96, each with 6 and 20.
    metal = {kind: held(school, kind=kind) for kind in ("lot", "own", "castings", "buttons", "sprues", "loss", "flask")}
    assert metal == {
        "lot": [D("142.5"), D("114.5")],
        "own": [D("51.6")],
        "castings": [D("40.31"), D("24.8")],
        "buttons": [D("12.4"), D("7.9")],
        "sprues": [D("4.3"), D("2.5")],
        "loss": [D("1.29"), D("0.3")],
        "flask": [D(0), D(0), D(0)],
    }
    assert (held(school, kind="till"), held(school, kind="owes")) == ([D("90.5")], [D(0), D("30.96")])
    assert all_zero(school)
    tablet.goto(f"/days/{day.pk}/recast/")
    expect(tablet.locator("main")).to_contain_text(Wax.objects.get(student=owner).tag)
    phone.goto("/my-waxes/")
    expect(phone.locator("main")).to_contain_text("90.50")
