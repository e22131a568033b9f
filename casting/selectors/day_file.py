"""A casting day's rows as one day file, and whether a plan still matches them. Reads only."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping
from typing import Any

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from casting.models import (
    Alloy,
    CastingDay,
    Firing,
    FlaskSize,
    HouseRules,
    Investment,
    Kiln,
    PatternMaterial,
    Plan,
    Wax,
    WaxHeld,
)
from casting.models.errors import NotPlanned


def day_file_of(day: CastingDay) -> str:
    """The day file of a casting day as its rows are now, as text for a child process."""
    return json.dumps(day_values_of(day), indent=1, ensure_ascii=False) + "\n"


def day_values_of(day: CastingDay) -> dict[str, Any]:
    """The values of a casting day's file as its rows are now. Raises `NotPlanned` without an investment."""
    waxes = list(day.waxes.standing().order_by("pk"))
    file = day.to_day() | shelf_of(day, waxes)
    nth: Counter[int] = Counter()
    file["waxes"] = []
    for wax in waxes:
        nth[wax.student_id] += 1
        file["waxes"].append(wax.to_day(piece=nth[wax.student_id]))
    file["waxes"].sort(key=lambda wax: str(wax["key"]))
    file |= _kept(day, {wax.tag for wax in waxes}, {size["key"] for size in file["flask_sizes"]})
    return file


def shelf_of(day: CastingDay, waxes: list[Wax]) -> dict[str, Any]:
    """The school's shelf: what it works with, and whatever a wax of the day already uses."""
    school = day.course.school
    alloys = Alloy.objects.filter(Q(pk__in=day.alloys.values("pk")) | Q(pk__in={wax.alloy_id for wax in waxes}))
    used = {wax.pattern_id for wax in waxes} | {wax.sprue_pattern_id for wax in waxes if wax.sprue_pattern_id}
    patterns = PatternMaterial.objects.filter(Q(school=school, offered=True) | Q(pk__in=used))
    investment = Investment.objects.at(school).first()
    rules = HouseRules.objects.at(school).first()
    if investment is None:
        raise NotPlanned(_("The school's equipment has no investment powder. Ask the site's administrator to add it."))
    return {
        "alloys": _rows(alloys),
        "patterns": _rows(patterns),
        "investment": investment.to_day(),
        "flask_sizes": _rows(FlaskSize.objects.at(school)),
        "kilns": _rows(Kiln.objects.at(school)),
        "firings": _rows(Firing.objects.at(school)),
        "rules": rules.to_day() if rules else {},
    }


def _rows(rows: QuerySet[Any]) -> list[dict[str, Any]]:
    return [row.to_day() for row in rows.order_by("place", "key")]


def _kept(day: CastingDay, tags: set[str], sizes: set[str]) -> dict[str, Any]:
    """What the new plan must respect: waxes held by the teacher, the plan before, flasks on the bench."""
    held = WaxHeld.objects.filter(wax__day=day, wax__tag__in=tags).select_related("wax")
    last = Plan.objects.latest_of(day)
    previous = {
        flask["label"]: {"size": flask["size"], "waxes": [wax["key"] for wax in flask["waxes"]]}
        for flask in (last.file["flasks"] if last else [])
        if flask["size"] in sizes
    }
    return {
        "held": {row.wax.tag: row.label for row in held},
        "previous": previous,
        "fixed": sorted(day.states()),
    }


def is_outdated(plan: Plan, values: Mapping[str, Any] | None = None) -> bool:
    """Tell whether the day's rows, or the values of the day file made of them, differ from what was planned."""
    return _asked(values or day_values_of(plan.day)) != _asked(plan.day_values)


def _asked(values: Mapping[str, Any]) -> dict[str, Any]:
    """A day file's values without the plan before and the flasks on the bench, which do not outdate that plan."""
    return {key: value for key, value in values.items() if key not in ("previous", "fixed")}
