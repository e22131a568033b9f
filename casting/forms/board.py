"""What is posted from the board as a move: text turned into values, and nothing believed."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from django.http import QueryDict
from django.utils.translation import gettext as _

from casting.calc.values.day_plan import Place
from casting.models.errors import NotPlanned
from casting.services.board_accidents import ACCIDENTS
from casting.services.board_moves import MOVES, Move

WHOLE = re.compile(r"[0-9]{1,8}")
FAR_MM, TURNS_DEG = 500.0, 720.0
"""No board is wider; a wax turned farther has been turned by no hand."""
MOST_TIERS, HOURS = 100, 12
LONGEST = 200
"""Of a reason, which prints."""


def read_move(posted: QueryDict) -> Move:
    """Return the move that was posted. Raises `NotPlanned` with what was entered, what is wrong and what to do."""
    do = posted.get("do", "")
    if do not in MOVES and do not in ACCIDENTS:
        raise NotPlanned(_("“%(do)s” is no step of this board. Press one of its buttons.") % {"do": do[:40]})
    to = posted.get("to", "")
    label, size = (to, posted.get("size", "")) if not to.startswith("size:") else ("", to.removeprefix("size:"))
    return Move(
        do,
        tag=posted.get("tag", "")[:2],
        label=(posted.get("label", "") or label)[:3],
        other=posted.get("other", "")[:4],
        size=size[:40],
        tags=tuple(tag[:2] for tag in posted.getlist("tags")[:60]),
        spot=read_spot(posted.get),
        shift=_read_shift(posted.get("shift", "")),
        reason=posted.get("reason", "").strip()[:LONGEST],
        tier=read_tier(posted.get("tier")),
        hour=_read_whole(posted.get("hour"), HOURS),
    )


def read_spot(given: Callable[[str], str | None]) -> Place | None:
    """Return the spot of a wax in mm and degrees; None if none is given."""
    texts = {name: given(name) for name in ("x_mm", "y_mm", "turn_deg")}
    if not any(texts.values()):
        return None
    x, y = (number_of(texts[name] or "", FAR_MM, "mm") for name in ("x_mm", "y_mm"))
    return Place(x, y, number_of(texts["turn_deg"] or "0", TURNS_DEG, "°"))


def read_tier(text: str | None) -> int:
    """Return the tier of a tree, 1 nearest the button; 0 if none is given."""
    return _read_whole(text, MOST_TIERS)


def _read_whole(text: str | None, most: int) -> int:
    if not text:
        return 0
    if not WHOLE.fullmatch(text) or int(text) > most:
        sentence = _("“%(text)s” is entered, but it must be a whole number up to %(most)s. Choose one of the list.")
        raise NotPlanned(sentence % {"text": text[:40], "most": most})
    return int(text)


def read_revision(posted: QueryDict) -> int:
    """Return the revision that a page showed; refused unless it is a whole number."""
    text = posted.get("revision", "")
    if not WHOLE.fullmatch(text):
        sentence = _("“%(text)s” is no revision of a plan. Open the board again.")
        raise NotPlanned(sentence % {"text": text[:40]})
    return int(text)


def _read_shift(text: str) -> tuple[float, float, float]:
    """A nudge and a turn, "mm to the right, mm up, degrees" with spaces between."""
    right, up, turn = [*text.split(), "0", "0", "0"][:3]
    return number_of(right, FAR_MM, "mm"), number_of(up, FAR_MM, "mm"), number_of(turn, TURNS_DEG, "°")


def number_of(text: str, most: float, unit: str) -> float:
    """Return a length or a turn to a thousandth; refused unless it is a number within the board."""
    words = {"text": text[:40], "most": f"{most:g}", "unit": unit}
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value) or abs(value) > most:
        sentence = _("“%(text)s” is entered, but it must be a number up to %(most)s %(unit)s. Carry the wax again.")
        raise NotPlanned(sentence % words)
    return round(value, 3)
