"""The README's pictures: there, small, legible, described. `write_readme_pictures` takes them."""

from __future__ import annotations

import re

import pytest
from PIL import Image

from tests.browser.write_readme_pictures import PICTURES, ROOT

README = (ROOT / "README.md").read_text("utf-8")
MOST_BYTES = 150_000
NAMES = {"flasks": 1600, "phone": 780, "kiln-room": 1000}
"""Pixels across: twice what a README gives each, so that small type stays sharp."""


def described(name: str) -> str:
    """Return the alternative text of a picture in the README, on one line."""
    path = re.escape(f"static/readme/{name}.png")
    found = re.search(rf"!\[([^\]]+)\]\({path}\)", README) or re.search(
        rf'<img src="{path}"[^>]* alt="([^"]+)"', README
    )
    assert found, f"the README shows no {path}"
    return " ".join(found.group(1).split())


def test_the_readme_shows_every_picture_and_no_other():
    assert {path.name for path in PICTURES.iterdir()} == {f"{name}.png" for name in NAMES}
    assert set(re.findall(r"static/readme/([\w-]+)\.png", README)) == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_a_picture_is_a_small_png_and_wide_enough_to_read(name):
    path = PICTURES / f"{name}.png"
    assert path.stat().st_size < MOST_BYTES
    with Image.open(path) as picture:
        assert picture.format == "PNG"
        assert picture.width >= NAMES[name]
        picture.load()  # whole, not cut off


@pytest.mark.parametrize("name", NAMES)
def test_a_picture_is_described_for_those_who_do_not_see_it(name):
    assert len(described(name)) > 80
