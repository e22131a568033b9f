"""A real browser, Debian's own Chromium, that reaches no other host."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from django.contrib.staticfiles.handlers import StaticFilesHandler
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

# Its pixels are drawn one for each of the page: three would take nine times as much drawing, and no test looks at them.
PHONE = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True, "device_scale_factor": 1}
NAMES = [
    "chromium-headless-shell", "chromium", "chromium-browser", "google-chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
]  # fmt: skip
"""The first that is there: the shell is Chromium without its windows, and takes a third less processor time."""
QUIET = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--font-render-hinting=none",
]  # fmt: skip


@pytest.fixture(scope="package")
def chromium() -> Iterator[Browser]:
    """One browser for all these tests, each in a context of its own; it ends before others find its loop running."""
    program = next((found for name in NAMES if (found := shutil.which(name))), None)
    assert program, "The browser tests need Chromium: the README's line for this machine installs it."
    with pytest.MonkeyPatch.context() as here, sync_playwright() as playwright:
        # The driver runs a loop in this thread, which Django would take for asynchronous code of ours.
        here.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        browser = playwright.chromium.launch(executable_path=program, args=QUIET)
        yield browser
        browser.close()


@pytest.fixture(autouse=True, scope="package")
def _static_files_kept() -> Iterator[None]:
    """A browser asks for each style and script once, as of the site itself, and not again with each page."""
    serve = StaticFilesHandler.serve

    def kept(handler, request):
        answer = serve(handler, request)
        answer["Cache-Control"] = "max-age=600"
        return answer

    with pytest.MonkeyPatch.context() as here:
        here.setattr(StaticFilesHandler, "serve", kept)
        yield


def opened(browser: Browser, address: str, errors: list[str], **settings: object) -> tuple[BrowserContext, Page]:
    """A fresh browser that notes every error of its console and every address but ours."""
    context = browser.new_context(base_url=address, locale="en-US", **settings)
    page = context.new_page()
    page.set_default_timeout(20_000)
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
    page.on("request", lambda asked: None if asked.url.startswith((address, "data:")) else errors.append(asked.url))
    return context, page


@pytest.fixture
def complaints() -> Iterator[list[str]]:
    """What went wrong in any page; a test fails if anything did."""
    errors: list[str] = []
    yield errors
    assert not errors


@pytest.fixture
def phone(chromium: Browser, live_server, complaints: list[str]) -> Iterator[Page]:
    context, page = opened(chromium, live_server.url, complaints, **PHONE)
    yield page
    context.close()


@pytest.fixture
def desk(chromium: Browser, live_server, complaints: list[str]) -> Iterator[Page]:
    context, page = opened(chromium, live_server.url, complaints, viewport={"width": 1280, "height": 900})
    yield page
    context.close()
