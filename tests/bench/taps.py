"""`python -m tests.bench.taps`: what a wax costs a student on a phone, counted in Chromium.

Answers given, presses beside them, bytes of pages.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator

from playwright.sync_api import Locator, Page, sync_playwright

from tests.bench.phones import phones_of, served
from tests.bench.room import empty_room, told

PORT = 8766
FIRST_KB, ANSWERS, PRESSES = 60, 6, 3
"""The most that a first load may weigh, and what a second wax may ask for."""


class Walk:
    """A phone on its way through the pages: it counts what its owner does."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.bytes = self.typed = self.chosen = self.presses = 0
        wire = page.context.new_cdp_session(page)
        wire.send("Network.enable")
        wire.on("Network.loadingFinished", self._loaded)

    def _loaded(self, event: dict[str, float]) -> None:
        self.bytes += int(event["encodedDataLength"])

    def start(self) -> None:
        """Count from here."""
        self.bytes = self.typed = self.chosen = self.presses = 0

    def type(self, **answers: str) -> None:
        for name, value in answers.items():
            self.page.fill(f"[name={name}]", value)
            self.typed += 1

    def choose(self, *choices: str) -> None:
        for choice in choices:
            self.page.locator(".choices label", has_text=choice).click()
            self.chosen += 1

    def press(self, what: Locator) -> None:
        what.click()
        self.presses += 1

    def hand_in(self) -> None:
        """The last press, and the page with the tag."""
        self.press(self.page.locator("#_form .bar button"))
        self.page.wait_for_url("**/my-waxes/*/tag/")

    @property
    def told(self) -> str:
        """What was counted."""
        return f"{self.typed + self.chosen} answers ({self.typed} typed), {self.presses} presses"


def rows() -> Iterator[tuple[str, str, str]]:
    """The first wax, the second, another like it; and what the pages weigh on the wire."""
    from tests.browser.conftest import NAMES, PHONE, QUIET, opened
    from tests.casting_factories import DayFactory

    phone, program = phones_of(DayFactory(), 1)[0], next(filter(None, map(shutil.which, NAMES)), None)
    # The driver runs a loop in this thread, which Django would take for asynchronous code of ours.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    with served(PORT) as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=QUIET)
        context, page = opened(browser, address, [], service_workers="block", **PHONE)
        context.add_cookies([{"name": "sessionid", "value": phone["session"], "url": address}])
        walk, onward = Walk(page), page.locator("#_form .bar button")
        for name in ("hand-in", "my-waxes"):
            walk.start()
            page.goto(f"/{name}/", wait_until="networkidle")
            yield f"first load of {name}", f"{walk.bytes / 1000:.1f} KB", f"{FIRST_KB} KB at most"
        page.goto("/hand-in/")
        for nth in ("first wax", "second wax"):
            walk.start()
            walk.type(weight="4.35")
            if nth == "first wax":
                walk.choose("Carving wax", "Sterling silver", "no, the wax alone")
            walk.press(onward)
            walk.type(width_mm="24", depth_mm="12", height_mm="33")
            walk.choose("medium")
            walk.press(onward)
            walk.type(what="leaf ring")
            walk.hand_in()
            most = "" if nth == "first wax" else f"{ANSWERS} answers and {PRESSES} presses at most"
            yield nth, walk.told, most
            page.goto("/hand-in/")
        page.goto("/my-waxes/")
        page.locator("a.link", has_text="Photo").first.click()
        page.get_by_role("link", name="Another like it").click()
        walk.start()
        walk.type(weight="4.45")
        for _station in range(2):
            walk.press(onward)
        walk.hand_in()
        yield "another like it", walk.told, ""
        browser.close()


def main() -> None:
    """Count by itself, in an empty room."""
    with empty_room("taps"):
        told(rows())


if __name__ == "__main__":
    main()
