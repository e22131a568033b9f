"""A hundred waxes from one phone while a share of requests and of answers is lost: each is there once, by its key."""

from __future__ import annotations

import random
from urllib.parse import parse_qsl, urlencode
from uuid import uuid4

import pytest
from playwright.sync_api import Route

from casting.models import Wax
from casting.services import waxes as wax_services
from tests.browser.conftest import PHONE, opened
from tests.browser.test_outbox import type_wax
from tests.browser.walking import sign_in
from tests.casting_factories import DayFactory
from tests.factories import StudentFactory

pytestmark = pytest.mark.django_db(transaction=True)
QUEUED = """saves => {
  const form = document.querySelector("#_form"), student = document.getElementById("outbox").dataset.student;
  const typed = [...new FormData(form)].filter(([name]) => !["csrfmiddlewaretoken", "seen", "photo"].includes(name));
  const waiting = Array.from({ length: saves }, (_, nth) => {
    const key = crypto.randomUUID();
    return { key, url: form.action, values: { ...Object.fromEntries(typed), key, what: `leaf ring ${nth}` } };
  });
  localStorage.setItem(`outbox:${student}`, JSON.stringify(waiting));
}"""
"""As if so many had been handed in out of reach."""
SENT = """async () => {
  const { student } = document.getElementById("outbox").dataset;
  const kept = (name) => JSON.parse(localStorage.getItem(name + student)) || [];
  for (let tries = 0; kept("outbox:").some(wax => !wax.refused) && tries < 1200; tries += 1) {
    dispatchEvent(new Event("online"));
    await new Promise(done => setTimeout(done, 100));
  }
  const told = document.querySelector("#outbox [role=status]").textContent.match(/Sent: leaf ring \\d+\\. /g);
  return [kept("outbox:").length, new Set(told).size];
}"""
"""In reach again and again, as far as the phone knows, until none waits: how many are left, how many told as sent."""


class WeakWifi:
    """Loses a drawn share of requests before the school has them, and of answers after it wrote: at least the first."""

    def __init__(self, seed: int, with_key: bool) -> None:
        self.draws = random.Random(seed)
        self.requests, self.answers = self.draws.uniform(0.15, 0.4), self.draws.uniform(0.15, 0.4)
        self.with_key = with_key
        self.lost_requests = self.lost_answers = 0

    def __call__(self, route: Route) -> None:
        sent = route.request.post_data or ""
        if "outbox=1" not in sent:
            return route.fallback()
        if self.draws.random() < self.requests:
            self.lost_requests += 1
            return route.abort("connectionreset")
        body = sent if self.with_key else urlencode(dict(parse_qsl(sent)) | {"key": str(uuid4())})
        if not self.lost_answers or self.draws.random() < self.answers:
            self.lost_answers += 1
            assert route.fetch(post_data=body).status in (200, 201)
            return route.abort("connectionreset")
        return route.continue_(post_data=body)


@pytest.mark.parametrize(("saves", "with_key"), [(100, True), (20, False)])
def test_a_hundred_saves_with_drops_are_a_hundred_waxes_by_their_key_alone(
    chromium, live_server, monkeypatch, saves, with_key
):
    monkeypatch.setattr(wax_services, "_refuse_if_too_many", lambda *_day_and_student: None)
    context, page = opened(chromium, live_server.url, [], **PHONE)
    # Its worker would fetch the growing list anew after each round.
    context.add_init_script("delete Navigator.prototype.serviceWorker")
    sign_in(context, StudentFactory(course=DayFactory().course), live_server.url)
    page.goto("/hand-in/")
    type_wax(page)
    seed = random.SystemRandom().randrange(2**32)
    wifi = WeakWifi(seed, with_key)
    page.route("**/hand-in/*/", wifi)
    page.evaluate(QUEUED, saves)
    assert page.evaluate(SENT) == [0, saves], f"seed {seed}"
    context.close()
    told = f"seed {seed}: {wifi.lost_requests} requests and {wifi.lost_answers} answers lost"
    whats = list(Wax.objects.values_list("what", flat=True))
    assert set(whats) == {f"leaf ring {nth}" for nth in range(saves)}, told
    # Without the key each answer that was lost leaves one more wax.
    assert len(whats) == saves + (0 if with_key else wifi.lost_answers), told
