"""Every paper of one day beside the picture of it that was looked at and kept.

What differs on purpose is looked at, then kept: `python -m tests.casting.papers.write_pictures`.
"""

from __future__ import annotations

import functools
import re

import pytest
from django.db import transaction

from casting.papers.pdf.render import render
from casting.papers.registry import PAPERS
from tests.casting.papers.pictured_day import PICTURES, pictured_pages
from tests.casting.papers.pictures import keep, kept, most_apart, pictures_of, side_by_side

NAMES = sorted({path.stem.rpartition("-")[0] for path in PICTURES.glob("*.png")})

MOST_GREYS = 40.0
"""Measured in black ink: half a pixel (0.21 mm) off the worst is 36, a block moved 1 mm 47. Drawn by another FreeType
(pypdfium2 4.30 for 5.15) the worst was 15 off in a lighter ink."""

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def pages(django_db_setup, django_db_blocker):
    """The page of every paper; its rows are written once for all tests here and taken back."""
    with django_db_blocker.unblock(), transaction.atomic():
        made = pictured_pages()
        transaction.set_rollback(True)
    return made


@pytest.fixture(scope="module")
def made(pages):
    """Sets a paper in type, once however many tests ask."""
    return functools.cache(lambda name: render(pages[name]))


def sheets_kept(name):
    """The pictures of a paper, first sheet first."""
    found = [path for path in PICTURES.glob(f"{name}-*.png") if re.fullmatch(r"\d+", path.stem[len(name) + 1 :])]
    return [kept(path) for path in sorted(found, key=lambda path: int(path.stem.rpartition("-")[2]))]


def differences(name, made, folder):
    """A sentence for each sheet that is not as it was; the new one is written to the folder, beside the old one."""
    was = sheets_kept(name)
    said = [] if len(made) == len(was) else [f"{name} has {len(made)} sheets, {len(was)} are kept"]
    for nth, picture in enumerate(made, start=1):
        sheet = f"{name}, sheet {nth} of {len(made)}"
        keep(picture, folder / f"{name}-{nth}.png")
        if nth > len(was):
            said.append(f"{sheet}: no picture of it is kept")
        elif picture.shape != was[nth - 1].shape:
            said.append(f"{sheet}: its size is {picture.shape} pixels and was {was[nth - 1].shape}")
        elif (spot := most_apart(was[nth - 1], picture)).greys > MOST_GREYS:
            side_by_side([was[nth - 1], picture], folder / f"{name}-{nth}-was-is-differs.png")
            where = f"{spot.left_mm:.0f} mm from the left, {spot.top_mm:.0f} mm from the top"
            said.append(f"{sheet}: differs by {spot.greys:.0f} greys ({MOST_GREYS:.0f} at most), most of all {where}")
    return said


def test_every_paper_has_its_pictures(pages):
    assert {paper.key for paper in PAPERS} <= set(pages)
    assert sorted(pages) == NAMES
    assert sum(path.stat().st_size for path in PICTURES.iterdir()) < 1_500_000


@pytest.mark.parametrize("name", NAMES)
def test_a_paper_looks_as_it_did(made, name, tmp_path):
    said = differences(name, pictures_of(made(name)), tmp_path)
    assert not said, "; ".join([*said, f"see {tmp_path}"])


def styled(rule):
    """A page with one more rule of style."""
    return lambda html: html.replace("</head>", f"<style>{rule}</style></head>")


def without(pattern):
    """A page without what the pattern finds first."""
    return lambda html: re.sub(pattern, "", html, count=1, flags=re.DOTALL)


# What each is off by, measured: 60, 73, 100, 157 greys; the table 3 mm to the right would be 108.
SPOILT = {
    "a table 2 mm lower": ("supplement", styled(".flasks { position: relative; top: 2mm }")),
    "figures of 14 points for 15": ("mix", styled(".bowl-big { font-size: 14pt }")),
    "a row missing": ("weigh-out", without(r'<tr><td class="box"></td><th scope="row" class="bag">B.*?</tr>')),
    "a drawing missing": ("kiln-room", without(r"<svg .*?</svg>")),
}


@pytest.mark.parametrize(("name", "spoil"), SPOILT.values(), ids=SPOILT)
def test_what_spoils_a_sheet_is_noticed(pages, name, spoil, tmp_path):
    spoilt = spoil(pages[name])
    assert spoilt != pages[name]
    said = differences(name, pictures_of(render(spoilt)), tmp_path)
    assert said and name in said[0] and list(tmp_path.glob(f"{name}-*-was-is-differs.png"))


@pytest.mark.parametrize("name", ["kiln-room", "flask-cards", "slips"])
def test_half_a_pixel_is_not(made, name, tmp_path):
    assert not differences(name, pictures_of(made(name), shift_px=0.5), tmp_path)
    assert not differences(name, pictures_of(made(name), shift_px=-0.5), tmp_path)


def test_a_sheet_that_is_missing_or_of_another_size_is_named(pages, tmp_path):
    assert differences("mix", [], tmp_path) == ["mix has 0 sheets, 1 are kept"]
    small = sheets_kept("mix")[0][:-1]
    assert "its size is" in differences("mix", [small], tmp_path)[0]
