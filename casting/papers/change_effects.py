"""What a change of a casting day would do to its plan, its papers and its waxes: tried, and taken back."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.models import CastingDay, PaperPrinted, Plan
from casting.papers.printing import PaperStatus, papers_of
from casting.presenters.formats import on_clock_of
from casting.services.days import DayEntry, change
from casting.services.shelf_effects import Standing, standing_of, told_of


@dataclass(frozen=True, slots=True)
class _Found:
    """How a day is found: its hand-in's end, its waxes of metals that it does not offer, its plan and its papers."""

    hand_in_ends: datetime
    not_offered: Sequence[tuple[str, str]]
    standing: Standing | None
    papers: Sequence[PaperStatus]


def effects_of_change(day: CastingDay, entry: DayEntry) -> list[str]:
    """Return what follows for waxes, plan and papers if this entry is written; nothing is kept of it."""
    plan = Plan.objects.latest_of(_fresh(day))
    if plan is None and not day.waxes.exists():
        return []
    before = _found(_fresh(day))
    with transaction.atomic():
        change(_fresh(day), entry)
        after = _found(_fresh(day))
        transaction.set_rollback(True)
    said = [*_hand_in(day, before, after), *_metals(before, after)]
    outdated = False
    if plan is not None and before.standing and after.standing:
        said += told_of(before.standing, after.standing, plan)
        outdated = before.standing.current and not after.standing.current
    return said + _papers(before.papers, after.papers, outdated)


def digest_of(effects: Iterable[str]) -> str:
    """Return a digest of effects: the same effects give the same digest."""
    return hashlib.sha256("\n".join(effects).encode()).hexdigest()[:16]


def _fresh(day: CastingDay) -> CastingDay:
    return CastingDay.objects.select_related("course__school").get(pk=day.pk)


def _found(day: CastingDay) -> _Found:
    plan = Plan.objects.latest_of(day)
    offered = set(day.alloys.values_list("pk", flat=True))
    waxes = day.waxes.standing().exclude(alloy_id__in=offered)
    printed = PaperPrinted.objects.filter(day=day).exists()
    return _Found(
        min(day.hand_in_closes_at or day.pour_at, day.pour_at),
        [(wax.tag, wax.alloy.name) for wax in waxes],
        standing_of(plan) if plan else None,
        papers_of(day, plan).statuses() if printed else [],
    )


def _hand_in(day: CastingDay, before: _Found, after: _Found) -> list[str]:
    """What is said of the end of hand-in, if it moves."""
    if before.hand_in_ends == after.hand_in_ends or day.closed_at is not None:
        return []
    old, new = (on_clock_of(one.hand_in_ends, day.course.school) for one in (before, after))
    if after.hand_in_ends <= timezone.now():
        return [_("Hand-in is closed then: it ends %(now)s, it was %(before)s.") % {"now": new, "before": old}]
    return [_("Students can hand in until %(now)s, it was %(before)s.") % {"now": new, "before": old}]


def _metals(before: _Found, after: _Found) -> list[str]:
    """What is said of waxes whose metal is offered no more, by tag."""
    by_metal: dict[str, list[str]] = {}
    for tag, metal in after.not_offered:
        if (tag, metal) not in before.not_offered:
            by_metal.setdefault(metal, []).append(tag)
    sentence = _("%(metal)s is no longer offered, but waxes in it stay and are planned: %(tags)s.")
    return [sentence % {"metal": metal, "tags": ", ".join(tags)} for metal, tags in sorted(by_metal.items())]


def _papers(before: Sequence[PaperStatus], after: Sequence[PaperStatus], outdated: bool) -> list[str]:
    """What is said of papers that are printed already and will be wrong."""
    old = {status.paper.key: set(status.why) for status in before}
    again = [
        str(status.paper.title)
        for status in after
        if status.printed
        and ((outdated and status.paper.of_plan) or set(status.why) - old.get(status.paper.key, set()))
    ]
    return [_("To print again: %(papers)s.") % {"papers": ", ".join(again)}] if again else []
