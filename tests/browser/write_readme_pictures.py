"""`python -m tests.browser.write_readme_pictures`: take the three pictures of the README from a fresh demo."""

from __future__ import annotations

import io
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urljoin, urlsplit

import pypdfium2
from PIL import Image, ImageOps
from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.conftest import NAMES, PHONE, QUIET
from tests.waiting import until

ROOT = Path(__file__).parents[2]
PICTURES = ROOT / "static" / "readme"
DESK_PX = 1200  # wide enough for drawing, waxes and figures side by side
DESK = {"viewport": {"width": DESK_PX, "height": 900}, "device_scale_factor": 1.4}
SHEET_PX = 1000
COLOURS, EDGE_PX, EDGE = 64, 2, "#c8c2ba"


def main() -> None:
    """Serve a demo in an empty directory, open its links and keep what they show."""
    program = next(found for name in NAMES if (found := shutil.which(name)))
    PICTURES.mkdir(exist_ok=True)
    with demo_links() as (phone, flasks, papers), sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=QUIET)
        keep(of_phone(opened(browser, phone, **PHONE | {"device_scale_factor": 2})), "phone")
        keep(of_flasks(opened(browser, flasks, **DESK)), "flasks")
        keep(of_kiln_room(opened(browser, papers, **DESK)), "kiln-room")
        browser.close()


@contextmanager
def demo_links() -> Iterator[list[str]]:
    """Serve a demo and return its three links."""
    with tempfile.TemporaryDirectory(prefix="casting-readme-") as room:
        environment = {**os.environ, "CASTING_DATA_DIR": room, "PYTHONUNBUFFERED": "1"}
        environment.pop("DATABASE_URL", None)
        command = [sys.executable, "manage.py", "demo"]
        server = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True)
        assert server.stdout is not None
        try:
            printed = ""
            while "Ctrl-C" not in printed and (line := server.stdout.readline()):
                printed += line
            links = re.findall(r"http://\S+token=\S+", printed)
            port = urlsplit(links[0]).port
            until(lambda: is_listening(port))
            yield links
        finally:
            server.send_signal(signal.SIGTERM)
            server.communicate(timeout=60)


def is_listening(port: int) -> bool:
    """Tell whether somebody listens on this port of this machine."""
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def opened(browser: Browser, link: str, **settings: object) -> Page:
    """Open a link in a fresh browser and return its page."""
    page = browser.new_context(locale="en-US", color_scheme="light", **settings).new_page()
    page.goto(link)
    page.get_by_role("button", name="Open", exact=True).click()
    page.wait_for_url(lambda url: "/demo/" not in url, wait_until="networkidle")
    return page


def of_phone(page: Page) -> Image.Image:
    """Picture the first screen of the phone."""
    return image(page.screenshot())


def of_flasks(page: Page) -> Image.Image:
    """Picture the last two flasks; one of them is invested."""
    upper, lower = (flask.bounding_box() for flask in page.locator("[id^=flask-]").all()[-2:])
    assert upper and lower
    height = lower["y"] + lower["height"] - upper["y"]
    return image(page.screenshot(full_page=True, clip={"x": 0, "y": upper["y"], "width": DESK_PX, "height": height}))


def of_kiln_room(page: Page) -> Image.Image:
    """Picture the first sheet of the kiln-room schedule."""
    address = page.locator("a[href$='kiln-room.pdf']").get_attribute("href")
    sheet = pypdfium2.PdfDocument(page.request.get(urljoin(page.url, address)).body())[0]
    return sheet.render(scale=SHEET_PX / sheet.get_width()).to_pil()


def image(png: bytes) -> Image.Image:
    """Read a picture."""
    return Image.open(io.BytesIO(png))


def keep(picture: Image.Image, name: str) -> None:
    """Write the picture as a PNG of few colours."""
    path = PICTURES / f"{name}.png"
    framed = ImageOps.expand(picture.convert("RGB"), EDGE_PX, EDGE)
    few = framed.quantize(COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    few.save(path, optimize=True)
    print(f"{path.name}: {few.width} x {few.height}, {path.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main()
