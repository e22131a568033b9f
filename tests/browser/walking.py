"""Every address opened in a browser by one person, and each page looked at: what a machine can see that is wrong."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from importlib.resources import files
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from playwright.sync_api import BrowserContext, Page

from tests.conftest import client_of_student, client_of_teacher

AXE = (files("axe_playwright_python") / "axe.min.js").read_text("utf-8")
AXE += "axe.configure({rules: [{id: 'color-contrast', selector: '[data-ink]'}]});"
ALL_RULES: dict[str, Any] = {
    "resultTypes": ["violations", "incomplete"],
    "selectors": False,
    "elementRef": True,
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
}
COLOURS = ALL_RULES | {"runOnly": {"type": "rule", "values": ["color-contrast"]}}
HERE = Path(__file__).parent
LOOKED_AT = (HERE / "looked_at.js").read_text("utf-8")
INKS = (HERE / "inks.js").read_text("utf-8")
BY_KEYBOARD = (HERE / "by_keyboard.js").read_text("utf-8")
RUN = """async (rules) => {
  const found = await axe.run(document, rules);
  const unsure = found.incomplete.filter(one => one.id === 'color-contrast').flatMap(one => one.nodes);
  return {
    said: found.violations.map(one => [one.id, `${one.id} (${one.help}): ${one.nodes[0].html.slice(0, 200)}`]),
    unsure: unsure.map(one => one.element.dataset.ink),
  };
}"""
KNOWN: set[str] = set()
"""Inks that this process has held against their ground and found right: they are not held against it again."""
MOVES = """() => [...document.querySelectorAll('body *')].filter(one => {
  const style = getComputedStyle(one);
  return style.animationName !== 'none' || parseFloat(style.transitionDuration) > 0;
}).map(one => 'moves: ' + one.outerHTML.slice(0, 60))"""
ANEW = re.compile(r"\b\w{64}\b|nonce=\"[^\"]*\"")
"""What each answer has its own of: the token of its forms, the word of its scripts."""
LAPTOP, TABLET, ZOOMED, NARROW = (1280, 800), (820, 1180), (640, 400), (320, 700)
"""Zoomed: the laptop at 200 %."""


def with_axe(context: BrowserContext) -> None:
    """Let each page of this browser have axe-core from its beginning; to hand it over page by page takes far longer."""
    context.add_init_script(AXE)


def sign_in(context: BrowserContext, who: Any, address: str) -> None:
    """Put a teacher, a helper or a student into the browser; None is a stranger."""
    if who is None:
        return
    client = client_of_student(who) if hasattr(who, "called") else client_of_teacher(who)
    name = settings.SESSION_COOKIE_NAME
    context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": address}])


def walk(
    page: Page, places: Iterable[tuple[str, str]], whole: bool = True, seen: set[str] | None = None
) -> tuple[set[str], dict[str, list[str]]]:
    """Open addresses with their names; return the names of those that show a page of their own, and what is wrong.

    The dark, a tablet and 200 % are left out where not the whole is asked for: the elements look there as they do on
    pages that other walks have seen. Where `seen` is given, an answer that was looked at before, letter for letter, is
    not looked at again.
    """
    shown, wrong = set(), {}
    seen = set() if seen is None else seen
    for name, address in places:
        answer = page.goto(address)
        assert answer is not None and answer.status < 500, address
        if urlsplit(page.url).path == urlsplit(address).path and answer.status == 200:
            shown.add(name)
            html = ANEW.sub("", answer.text())
            if html in seen:
                continue
            seen.add(html)
            if said := complaints_of(page, whole):
                wrong[address] = said
    return shown, wrong


def complaints_of(page: Page, whole: bool = True) -> list[str]:
    """What is wrong with the page: on a laptop, at 200 %, on the narrowest screen, in the dark, by keys."""
    page.emulate_media(color_scheme="light", reduced_motion="reduce")
    said = looked_at(page, LAPTOP) + page.evaluate(MOVES)
    page.keyboard.press("Tab")
    said += page.evaluate(BY_KEYBOARD)
    said += axe(page, ALL_RULES)
    if whole:
        page.emulate_media(color_scheme="dark")
        said += [f"in the dark, {one}" for one in axe(page, COLOURS)]
    for size in (TABLET, ZOOMED, NARROW) if whole else (NARROW,):
        said += looked_at(page, size)
    return said


def looked_at(page: Page, size: tuple[int, int]) -> list[str]:
    """What reaches over the edge, scrolls sideways or is cut off on a screen of this size."""
    page.set_viewport_size({"width": size[0], "height": size[1]})
    return [f"{size[0]} px: {one}" for one in page.evaluate(LOOKED_AT, size[0])]


def axe(page: Page, rules: Mapping[str, Any]) -> list[str]:
    """What axe-core finds, a line for each kind of thing with the first place that has it."""
    inks = page.evaluate(INKS, "\n".join(KNOWN))
    if rules is COLOURS and not inks:
        return []
    found = page.evaluate(RUN, rules)
    if "color-contrast" not in dict(found["said"]):
        KNOWN.update(set(inks) - set(found["unsure"]))
    return [line for _rule, line in found["said"]]
