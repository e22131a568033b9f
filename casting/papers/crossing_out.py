"""What to cross out by hand on papers printed from an earlier plan: which figure of which flask, and where."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _

from casting.models import BenchChange, Plan
from casting.papers.fingerprints import Part
from casting.papers.printing import DayPapers, PaperStatus
from casting.papers.registry import Paper
from casting.presenters.board_beside import figures_in_words
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_changes import File, changes_between, gone_between
from casting.selectors.mishaps import MISHAP
from casting.selectors.mounted import weighed_by, weighings, with_charges


@dataclass(frozen=True, slots=True)
class CrossedOut:
    """A figure of a flask as it was printed and as it is now, with the titles of the papers that have it."""

    label: str
    was: str
    now: str
    papers: tuple[str | Promise, ...]


@dataclass(frozen=True, slots=True)
class Side:
    """A plan with its file as its bases were weighed then."""

    plan: Plan
    file: File


def crossed_out(papers: DayPapers, statuses: Sequence[PaperStatus]) -> list[CrossedOut]:
    """Return what is no longer true on the last prints of papers, by flask. Three queries.

    A newer plan makes it so, a finished base that was weighed since, or something that went wrong with a flask.
    """
    if papers.opened is None or papers.plan is None:
        return []
    found: dict[tuple[str, str, str], list[str | Promise]] = {}
    prints = {one.paper: one.printed for one in statuses if one.printed and one.paper.figures and one.printed.revision}
    if not prints:
        return []
    changes = weighings(papers.day)
    plans = {papers.plan.revision: papers.plan}
    then = {printed.revision for printed in prints.values() if printed.revision} - plans.keys()
    for plan in Plan.objects.filter(day=papers.day, revision__in=then).order_by("revision") if then else ():
        plan.day = papers.day
        plans[plan.revision] = plan
    now = Side(papers.plan, with_charges(papers.plan, weighed_by(changes)))
    for paper, printed in sorted(prints.items(), key=lambda one: one[1].revision or 0):
        of = plans.get(printed.revision or 0)
        if of is not None and (of is not papers.plan or changes):
            side = Side(of, with_charges(of, weighed_by(changes, printed.at)))
            for key in _of(paper, _lines(side, now, papers.opened)):
                found.setdefault(key, []).append(paper.title)
    noted = list(BenchChange.objects.filter(day=papers.day, do=MISHAP).order_by("pk").values_list("what", "at"))
    for paper, printed in prints.items():
        if Part.MISHAPS in paper.made_of:
            for label in dict.fromkeys(what for what, at in noted if at > printed.at):
                found.setdefault(_went_wrong(label, papers.opened), []).append(paper.title)
    rows = [CrossedOut(label, was, is_now, tuple(titles)) for (label, was, is_now), titles in found.items()]
    return sorted(rows, key=lambda row: (len(row.label), row.label))


def _went_wrong(label: str, opened: OpenedPlan) -> tuple[str, str, str]:
    """What is told of a flask with which something went wrong since, or of which that was taken back."""
    met = next((flask.mishap for flask in opened.sheet.flasks if flask.label == label), None)
    if met is None:
        return label, _("what went wrong with it"), _("taken back: look at the page Pours")
    return label, _("its pour and its charge") if met.not_poured else _("its pour"), met.words


def _of(paper: Paper, lines: Iterable[tuple[str, str, str, str]]) -> Iterable[tuple[str, str, str]]:
    """The lines that a paper has: of a flask that came or went, every paper with any of its figures."""
    return [(label, was, now) for name, label, was, now in lines if not name or name in paper.figures]


def _lines(then: Side, now: Side, opened: OpenedPlan) -> list[tuple[str, str, str, str]]:
    """What changed since an earlier side: the name of the figure (empty for the flask itself), label, was, is."""
    old, new = (figures_in_words(one.plan, opened.units, opened.day.zone, one.file) for one in (then, now))
    inside, in_it = _tags(then.plan), _tags(now.plan)
    lines = []
    for label, change in changes_between(then.file, now.file).items():
        if change.is_new:
            lines.append(("", label, _("not there"), _("a new flask: write it in")))
            continue
        names = [name for name in change.was if old[label][name] != new[label][name]]
        lines += [(name, label, old[label][name], new[label][name]) for name in names]
        if change.came or change.went:
            lines.append(("waxes", label, inside[label], in_it[label]))
        elif change.shifted:
            tags = ", ".join(sorted(change.shifted))
            lines.append(("waxes", label, _("where %(tags)s stand") % {"tags": tags}, _("look at the board")))
    gone = gone_between(then.file, now.file)
    return lines + [("", label, _("the whole flask"), _("no more")) for label in gone]


def _tags(plan: Plan) -> dict[str, str]:
    """The tags of each flask's waxes in one line, by label."""
    return {flask["label"]: ", ".join(sorted(wax["key"] for wax in flask["waxes"])) for flask in plan.file["flasks"]}
