"""The sprues that a wax asks for, in words: sentences for its student and its teacher, a few words for the bench."""

from __future__ import annotations

from django.utils.translation import gettext as _

from casting.calc.quantities.sprue import Sprues, sprues_for
from casting.calc.values.day_input import Wax
from casting.dayfile.rules_file import rulebook
from casting.presenters.formats import SchoolUnits
from casting.presenters.lengths import length


def sprue_sentences(sprues: Sprues, units: SchoolUnits) -> tuple[str, ...]:
    """Return what a student is told of the sprues of a wax; what is not recorded is asked for."""
    return tuple(sentence for sentence in (_thickness(sprues, units), _number(sprues), _question(sprues)) if sentence)


def _thickness(sprues: Sprues, units: SchoolUnits) -> str:
    if sprues.least_mm is None:
        return _("Measure its thickest part: a sprue is at least as thick.")
    thick_mm, long_mm = length(sprues.least_mm, units), length(sprues.longest_mm, units)
    words = {"thick": thick_mm, "long": long_mm, "gauge": sprues.gauge}
    thick = _(
        "Make its sprue at least %(thick)s thick, like its thickest part, and at most %(long)s long. "
        "Set it on the thickest part."
    )
    gauge = _("Wax wire of gauge %(gauge)s (B&S) is thick enough.") if sprues.gauge is not None else ""
    return f"{thick} {gauge}".strip() % words


def _number(sprues: Sprues) -> str:
    parts = sprues.thick_parts or 1
    if sprues.by_stones:
        return _("Give it %(count)s sprues round its stones, at 10, 2 and 6 o'clock.") % {"count": sprues.count}
    if parts > 1:
        return _(
            "Give each of its %(parts)s thick parts a sprue. The thin part between sets first and cuts off the metal."
        ) % {"parts": parts}
    if sprues.by_size:
        return _("It is large: %(count)s sprues fill it better than one.") % {"count": sprues.count}
    return ""


def _question(sprues: Sprues) -> str:
    if sprues.thick_parts is None:
        return _("Has it thick parts with a thin part between them? Each needs a sprue of its own.")
    return ""


def bench_note(wax: Wax, specific_gravity: float, units: SchoolUnits) -> str:
    """Return the same for the list of what is mounted, which has little room: nothing of what nobody measured."""
    sprues = sprues_for(wax, specific_gravity, rulebook())
    if sprues.least_mm is None:
        parts = sprues.thick_parts or 1
        return _("%(count)d sprues") % {"count": sprues.count} if parts > 1 else ""
    words = {"thick": length(sprues.least_mm, units), "count": sprues.count}
    return (_("sprue %(thick)s") if sprues.count == 1 else _("%(count)d sprues of %(thick)s")) % words
