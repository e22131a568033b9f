"""The page of elements beside the pictures of it that were looked at and kept, light and dark.

What differs on purpose is looked at, then kept: `python -m tests.browser.write_style_pictures`.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.styled import PICTURES, parts
from tests.browser.walking import sign_in
from tests.casting.papers.pictures import keep, kept, most_apart, side_by_side
from tests.casting.papers.test_pictures import MOST_GREYS

pytestmark = pytest.mark.django_db(transaction=True)

MOST_BYTES = 400_000


@pytest.fixture
def teacher_page(desk: Page, live_server, teacher) -> Page:
    sign_in(desk.context, teacher, live_server.url)
    return desk


def differences(found, folder):
    """A sentence for each part that is not as it was; the new one is written to the folder, beside the old one."""
    said = []
    for name, picture in found:
        keep(picture, folder / f"{name}.png")
        was = kept(PICTURES / f"{name}.png") if (PICTURES / f"{name}.png").exists() else None
        if was is None or was.shape != picture.shape:
            said.append(f"{name}: no picture of it is kept" if was is None else f"{name}: {was.shape}, {picture.shape}")
        elif (spot := most_apart(was, picture)).greys > MOST_GREYS:
            side_by_side([was, picture], folder / f"{name}-was-is-differs.png")
            said.append(f"{name}: differs by {spot.greys:.0f} greys, {MOST_GREYS:.0f} at most")
    return said


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_each_element_looks_as_it_did(teacher_page, scheme, tmp_path):
    found = list(parts(teacher_page, scheme))
    said = differences(found, tmp_path)
    assert not said, "; ".join([*said, f"see {tmp_path}"])
    assert {name for name, _picture in found} == {path.stem for path in PICTURES.glob(f"*-{scheme}.png")}


def test_an_element_that_looks_otherwise_is_told(tmp_path):
    kinds = {path.stem: kept(path).copy() for path in PICTURES.glob("*-light.png")}
    kinds["actions-light"][:, :200] = np_shifted(kinds["actions-light"][:, :200])
    said = differences(kinds.items(), tmp_path)
    assert len(said) == 1 and said[0].startswith("actions-light: differs by")


def np_shifted(picture):
    """The same ink, 8 pixels further right."""
    moved = picture.copy()
    moved[:, 8:] = picture[:, :-8]
    return moved


def test_the_pictures_are_small():
    assert sum(path.stat().st_size for path in PICTURES.iterdir()) < MOST_BYTES
