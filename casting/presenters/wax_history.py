"""What was changed of a wax, by whom and when, in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from casting.calc.values.enums import Section
from casting.models import Wax, WaxChange
from casting.presenters.changes import Change, moved
from casting.presenters.formats import SchoolUnits, units_of, weighed_beside
from casting.presenters.lengths import length, section_in_words, sides
from casting.selectors.shelf import names_of
from school.models import School

Names = Mapping[str, str]
"""What a material or a metal of the shelf is called, by its key."""


def history_of(changes: Iterable[WaxChange], names: Names, units: SchoolUnits) -> list[Change]:
    """Return each change in words, in the order in which they were made; what changed nothing is left out."""
    told = [Change(_who(one), one.at, _words(one, names, units)) for one in changes]
    return [one for one in told if one.words]


def by_teachers(waxes: Iterable[Wax], school: School) -> dict[int, list[Change]]:
    """Return what teachers changed of each wax, by its row, for the student whose it is. At most three queries."""
    of_teachers = WaxChange.objects.filter(wax__in=[wax.pk for wax in waxes], by_person__isnull=False)
    by_wax: dict[int, list[WaxChange]] = {}
    for change in of_teachers.select_related("by_person", "by_student"):
        if "held" in change.after:  # which flask it is kept in is the teacher's own business
            continue
        by_wax.setdefault(change.wax_id, []).append(change)
    names = names_of(school) if by_wax else {}
    return {pk: history_of(changes, names, units_of(school)) for pk, changes in by_wax.items()}


def _who(change: WaxChange) -> str:
    if change.by_person:
        return change.by_person.name
    return change.by_student.called if change.by_student else _("somebody who has left")


def _words(change: WaxChange, names: Names, units: SchoolUnits) -> str:
    before, after = change.before, change.after
    if before is None:
        return _("handed in: %(what)s, %(wax)s") % {"what": after["what"], "wax": _weight(after["wax_g"], units)}
    if "withdrawn" in after:
        return _("withdrawn") if after["withdrawn"] else _("handed in again")
    if "held" in after:
        return _("kept in flask %(label)s") % {"label": after["held"]} if after["held"] else _("let go of its flask")
    now, old = _told(after, names, units), _told(before, names, units)
    return moved((label, now[label], old[label]) for label in now)


def _told(entry: Mapping[str, Any], names: Names, units: SchoolUnits) -> dict[str, str]:
    """The figures of an entry in words, by what they are called; what an older record does not have is not recorded."""
    return {
        _("weight"): _weight(entry["wax_g"], units),
        _("metal"): names.get(entry["alloy"], entry["alloy"]) + (f" {_('(own)')}" if entry["own_metal"] else ""),
        _("made of"): names.get(entry["pattern"], entry["pattern"]),
        _("what it is"): entry["what"],
        _("size"): sides([Decimal(entry[side]) for side in ("width_mm", "depth_mm", "height_mm")], units),
        _("thinnest part"): section_in_words(Section(entry["section"]), units),
        _("thickest part"): _length(entry.get("thickest_mm"), units),
        _("thick parts"): str(entry.get("thick_parts") or _("not recorded")),
        _("second-choice metal"): _second(entry.get("second_alloy"), names),
        _("note"): entry.get("note") or _("none"),
        _("stones"): str(Wax.Stones(entry.get("stones", Wax.Stones.NONE)).label),
        _("sprue of another material"): _sprue(entry, names, units),
    }


def _weight(weight_g: str, units: SchoolUnits) -> str:
    return weighed_beside(Decimal(weight_g), units)


def _length(length_mm: str | None, units: SchoolUnits) -> str:
    return length(Decimal(length_mm), units) if length_mm else _("not recorded")


def _second(key: str | None, names: Names) -> str:
    return names.get(key, key) if key else _("none")


def _sprue(entry: Mapping[str, Any], names: Names, units: SchoolUnits) -> str:
    key = entry["sprue_pattern"]
    return f"{_weight(entry['sprue_g'], units)}, {names.get(key, key)}" if key else _("none")
