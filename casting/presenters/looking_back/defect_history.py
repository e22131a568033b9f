"""The history of defects in words: for each metal, and each flask size under it, the share of pieces of each kind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy

from casting.calc.values.errors import Refused
from casting.dayfile.rules_file import rulebook
from casting.models import Alloy, FlaskSize, PieceDefect
from casting.presenters.figure_words import Reader
from casting.presenters.formats import NARROW_SPACE, decimals
from casting.presenters.sources import name_of
from casting.selectors.looking_back.defect_history import Cast, defect_history
from school.models import School


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """Pieces cast alike: their metal, or their flask size under it; few tells that a share of them says little."""

    called: str
    is_metal: bool
    pieces: int
    few: bool
    cells: Sequence[str]


SHORT: Mapping[str, Promise] = {
    PieceDefect.Kind.POROSITY: lazy("gas holes"),
    PieceDefect.Kind.SHRINKAGE: lazy("shrink holes"),
    PieceDefect.Kind.INCOMPLETE: lazy("not full"),
    PieceDefect.Kind.FLASHING: lazy("fins"),
    PieceDefect.Kind.INCLUSION: lazy("bits in it"),
    PieceDefect.Kind.CRACKS: lazy("cracks"),
    PieceDefect.Kind.ROUGH: lazy("rough"),
}
"""The kinds in a word or two, for the head of a column."""


def heads() -> list[str]:
    """Return the heads of the shares: any defect, then each kind."""
    return [_("with a defect"), *(str(SHORT[key]) for key in PieceDefect.Kind.values)]


def history_lines(school: School) -> list[HistoryLine]:
    """Return each metal that was cast with its flask sizes below it; six queries."""
    found, reader = defect_history(school), Reader(school)
    sizes = {row.key: _called(reader, row) for row in FlaskSize.objects.filter(school=school)}
    lines = []
    for alloy in Alloy.objects.filter(school=school, key__in={metal for metal, _size in found}):
        by_size = {size: cast for (metal, size), cast in found.items() if metal == alloy.key}
        lines.append(_line(alloy.name, _together(list(by_size.values())), is_metal=True))
        lines += [_line(sizes[size], by_size[size], is_metal=False) for size in sizes if size in by_size]
    return lines


def _called(reader: Reader, row: FlaskSize) -> str:
    try:
        return name_of(reader, row)
    except Refused:  # a size that plans refuse by now was cast in all the same
        return row.name


def _together(casts: Sequence[Cast]) -> Cast:
    whole = Cast()
    for one in casts:
        whole.pieces += one.pieces
        whole.with_defect += one.with_defect
        whole.kinds += one.kinds
    return whole


def _line(called: str, cast: Cast, *, is_metal: bool) -> HistoryLine:
    counts = [cast.with_defect, *(cast.kinds[key] for key in PieceDefect.Kind.values)]
    few = cast.pieces < rulebook().limit("learning_few_figures")
    return HistoryLine(called, is_metal, cast.pieces, few, [_share(count, cast.pieces) for count in counts])


def _share(count: int, pieces: int) -> str:
    """How many of the pieces, and their share; nothing noted is a dash and no promise."""
    return f"{count} ({decimals(100 * count / pieces, 0)}{NARROW_SPACE}%)" if count else "–"
