"""The words of how pieces of a metal are cared for."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as lazy

CARE: Mapping[str, Promise] = {
    "dry": lazy(
        "Brush out the last investment under water, with a mask on, and let the piece dry. None goes down the sink."
    ),
    "own-pickle": lazy("Bronze and brass have a pickle of their own, and never go into that of silver."),
    "silver-pickle": lazy(
        "Pickle it cold, with plastic or copper tongs and no steel, goggles on. Rinse it well, with soda after."
    ),
    "fire-stain": lazy("A grey shadow that stays after pickling is fire stain: file or sand it away before polishing."),
    "tarnish": lazy("Silver goes dark in air. Keep it in a closed bag, rub it with a cloth, no toothpaste."),
    "green-skin": lazy("It may colour the skin green, which washes off. Wax or varnish keeps it bright."),
    "white-gold": lazy("White gold with nickel is springy. Anneal it as its supplier says before you bend it."),
    "nickel": lazy(
        "It contains nickel. If nickel makes your skin itch, do not wear it. Do not sell it as free of nickel."
    ),
}
"""By the key of `fixtures/care.json`."""


def care_words(key: str) -> Promise:
    """Return what a line of care says."""
    return CARE[key]
