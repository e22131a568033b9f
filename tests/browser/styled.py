"""Pictures of the page of elements, a part each, drawn in the letters that the site's papers have on every machine."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from django.conf import settings
from PIL import Image
from playwright.sync_api import Page

from tests.casting.papers.pictures import STEP, Picture

PICTURES = Path(__file__).parent / "style"
SCREEN = {"width": 820, "height": 1180}
LETTERS = """async (weights) => {
  for (const [weight, letters] of weights) {
    const bytes = Uint8Array.from(atob(letters), one => one.charCodeAt(0));
    document.fonts.add(await new FontFace('Bench Sans', bytes, {weight}).load());
  }
  document.documentElement.style.setProperty('--font', "'Bench Sans'");
  document.activeElement.blur();
  await document.fonts.ready;
}"""


def parts(page: Page, scheme: str) -> Iterator[tuple[str, Picture]]:
    """Open the page in the light or in the dark; yield each of its parts, in sixteen greys."""
    page.set_viewport_size(SCREEN)
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    page.goto("/style/")
    fonts = settings.BASE_DIR / "static" / "fonts"
    files = [(weight, fonts / f"bench-sans-{weight}.ttf") for weight in ("400", "700")]
    page.evaluate(LETTERS, [[weight, base64.b64encode(file.read_bytes()).decode()] for weight, file in files])
    for part in page.locator("main > section").all():
        picture = Image.open(io.BytesIO(part.screenshot())).convert("L")
        greys = np.round(np.asarray(picture) / STEP) * STEP
        yield f"{part.get_attribute('id')}-{scheme}", greys.astype(np.uint8)
