"""What to cross out by hand on papers printed from an earlier plan: which figure of which flask, and where."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _

from casting.models import Plan
from casting.papers.printing import DayPapers, PaperStatus
from casting.papers.registry import Paper
from casting.presenters.board_beside import figures_in_words
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_changes import changes_between, gone_between


@dataclass(frozen=True, slots=True)
class CrossedOut:
    """A figure of a flask as it was printed and as it is now, with the titles of the papers that have it."""

    label: str
    was: str
    now: str
    papers: tuple[str | Promise, ...]


def crossed_out(papers: DayPapers, statuses: Sequence[PaperStatus]) -> list[CrossedOut]:
    """Return what is no longer true on the last prints of papers, by flask. One query."""
    if papers.opened is None or papers.plan is None:
        return []
    found: dict[tuple[str, str, str], list[str | Promise]] = {}
    prints = {one.paper: one.printed.revision for one in statuses if one.printed and one.paper.figures}
    then = {revision for revision in prints.values() if revision and revision < papers.plan.revision}
    for plan in Plan.objects.filter(day=papers.day, revision__in=then).order_by("revision"):
        plan.day = papers.day
        lines = _lines(plan, papers.opened)
        for paper in (paper for paper, revision in prints.items() if revision == plan.revision):
            for key in _of(paper, lines):
                found.setdefault(key, []).append(paper.title)
    rows = [CrossedOut(label, was, now, tuple(titles)) for (label, was, now), titles in found.items()]
    return sorted(rows, key=lambda row: (len(row.label), row.label))


def _of(paper: Paper, lines: Iterable[tuple[str, str, str, str]]) -> Iterable[tuple[str, str, str]]:
    """The lines that a paper has: of a flask that came or went, every paper with any of its figures."""
    return [(label, was, now) for name, label, was, now in lines if not name or name in paper.figures]


def _lines(then: Plan, opened: OpenedPlan) -> list[tuple[str, str, str, str]]:
    """What changed since an earlier plan: the name of the figure (empty for the flask itself), label, was, is."""
    old, new = (figures_in_words(plan, opened.units, opened.day.zone) for plan in (then, opened.plan))
    inside, now = _tags(then), _tags(opened.plan)
    lines = []
    for label, change in changes_between(then.file, opened.plan.file).items():
        if change.is_new:
            lines.append(("", label, _("not there"), _("a new flask: write it in")))
            continue
        names = [name for name in change.was if old[label][name] != new[label][name]]
        lines += [(name, label, old[label][name], new[label][name]) for name in names]
        if change.came or change.went:
            lines.append(("waxes", label, inside[label], now[label]))
        elif change.shifted:
            tags = ", ".join(sorted(change.shifted))
            lines.append(("waxes", label, _("where %(tags)s stand") % {"tags": tags}, _("look at the board")))
    gone = gone_between(then.file, opened.plan.file)
    return lines + [("", label, _("the whole flask"), _("no more")) for label in gone]


def _tags(plan: Plan) -> dict[str, str]:
    """The tags of each flask's waxes in one line, by label."""
    return {flask["label"]: ", ".join(sorted(wax["key"] for wax in flask["waxes"])) for flask in plan.file["flasks"]}
