"""A firing as it is being typed: its curve, its hours, and what is said against it before it is saved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from casting.calc.cautions.firings import of_written
from casting.calc.schedule.firing import top_ends_min, whole_minutes
from casting.calc.values.day_input import Firing as DayFiring
from casting.calc.values.day_input import Kiln as DayKiln
from casting.calc.values.day_input import Segment
from casting.calc.values.enums import Level, Status
from casting.calc.values.errors import Refused
from casting.calc.values.sentence import Sentence
from casting.dayfile.equipment import RAMP_LEAST
from casting.dayfile.rules_file import rulebook
from casting.dayfile.source_words import source_sentence
from casting.models import Firing, Kiln
from casting.presenters.figure_words import word_of
from casting.presenters.formats import SchoolUnits, minutes
from casting.presenters.sources import WORTH
from casting.presenters.wording import in_units

COOLER_SPACE, WARMER_SPACE = "\N{NARROW NO-BREAK SPACE}", "\N{NO-BREAK SPACE}"
"""Before a limit that must not be passed, which rounds down, and before what passes it, which rounds up."""
FIGURES = ("ramp_c_per_h", "to_c", "hold_min")


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to know of a firing: how hard it is, its words with figure and limit, and where the limit is from."""

    level: str
    text: str
    basis: str


@dataclass(frozen=True, slots=True)
class FiringCheck:
    """What is shown of a firing that is being typed. `wrong` stands in the way of saving it: which box, and why."""

    units: SchoolUnits
    segments: Sequence[Segment] = ()
    hours: str = ""
    findings: Sequence[Finding] = ()
    wrong: Sequence[tuple[str, str]] = ()
    checked: bool = False
    """Whether the limits could be held against it; a firing that cannot be read is not fair, it is unknown."""


def check_firing(row: Firing, wrong: Sequence[tuple[str, str]], units: SchoolUnits) -> FiringCheck:
    """Return what is to be said of a firing; `wrong` is what its boxes refuse."""
    segments = _drawable(row.segments or [])
    hours = minutes(whole_minutes(top_ends_min(segments))) if segments else ""
    if wrong:
        return FiringCheck(units, segments, hours, wrong=wrong)
    try:
        read = row.read()
    except Refused:  # another box refuses, which says so itself
        return FiringCheck(units, segments, hours)
    findings = [*_too_hot_for(read, list(_kilns_of(row)), units), *_findings(read, units)]
    return FiringCheck(units, read.segments, hours, findings, checked=True)


def _kilns_of(row: Firing) -> Iterator[DayKiln]:
    """The kilns that the firing's school works with; one that is refused has a page of its own, which says it."""
    for kiln in Kiln.objects.at(row.school):
        with suppress(Refused):
            yield kiln.read()


def _too_hot_for(firing: DayFiring, kilns: Sequence[DayKiln], units: SchoolUnits) -> list[Finding]:
    """What to know of kilns that do not get so hot; one whose highest temperature is not recorded counts as hot."""
    cool = [kiln for kiln in kilns if not kiln.reaches(firing)]
    rule = rulebook().rules["kiln-too-cool"]
    basis = f"{in_units(source_sentence(rule.basis), units)} ({WORTH[Status(rule.status)][0]})"
    top = in_units(f"{firing.top_c:g}{WARMER_SPACE}°C", units)
    lines = [
        _("%(kiln)s reaches %(most)s at most, and this firing goes to %(top)s: no plan runs it there.")
        % {"kiln": kiln.called, "most": in_units(f"{kiln.max_c:g}{COOLER_SPACE}°C", units), "top": top}
        for kiln in cool
    ]
    if not cool or len(cool) < len(kilns):
        return [Finding(word_of(Level.WARN), line, basis) for line in lines]
    stop = _("Do not use this firing here: no kiln gets so hot. Write a cooler one, or look at the kilns' plates.")
    return [Finding(word_of(Level.STOP), " ".join([stop, *lines]), basis)]


def _findings(firing: DayFiring, units: SchoolUnits) -> list[Finding]:
    book = rulebook()
    return [
        Finding(
            word_of(caution.level),
            in_units(_of_this(caution.text), units),
            f"{in_units(source_sentence(caution.basis), units)} ({WORTH[Status(book.rules[caution.id].status)][0]})",
        )
        for caution in of_written(firing, book)
    ]


def _of_this(said: str) -> str:
    """A caution's words about the firing that is on the page."""
    if not isinstance(said, Sentence) or "firing" not in said.figures:
        return said
    return Sentence(said.words, {**said.figures, "firing": _("this firing")})


def _drawable(rows: Sequence[Mapping[str, Any]]) -> list[Segment]:
    """The rows from the first one that are whole and can be drawn."""
    segments: list[Segment] = []
    for row in rows:
        if any(row.get(figure) is None for figure in FIGURES) or row["ramp_c_per_h"] < RAMP_LEAST:
            break
        segments.append(Segment(*(float(row[figure]) for figure in FIGURES)))
    return segments
