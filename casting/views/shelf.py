"""The pages of what a school owns: metals and equipment, each thing with a page to change it."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from casting.calc.values.marked_text import FROM_MEMORY
from casting.forms.shelf.form import ShownColumn, ThingForm, Typed
from casting.forms.shelf.rules import GROUPS
from casting.forms.shelf.typed import copy_of, meanwhile, put_back, rearranged
from casting.models import Alloy, Firing, HouseRules
from casting.models.shelf import ShelfRow
from casting.presenters.figure_words import Reader
from casting.presenters.firing_check import FiringCheck, check_firing
from casting.presenters.perforated import beside_solid
from casting.presenters.shelf_page import (
    HOUSE,
    KINDS,
    FigureNote,
    Kind,
    Parts,
    called,
    listing,
    notes_of,
    parts_come_to,
    rule_notes_of,
)
from casting.selectors.shelf import house_rules as rules_of
from casting.services import shelf as shelf_services
from casting.services.shelf_effects import Effect, effects_of, seen_of
from school.access import TeacherRequest, posted_from, teacher_required
from school.forms.versioned import Since
from school.onward import onward


@require_safe
@teacher_required
def metals(request: TeacherRequest) -> HttpResponse:
    """List the school's metals."""
    return _lists(request, "metals", _("Metals"))


@require_safe
@teacher_required
def equipment(request: TeacherRequest) -> HttpResponse:
    """List the school's flasks, kilns, firings, investments and wax materials."""
    return _lists(request, "equipment", _("Equipment"))


def _lists(request: TeacherRequest, page: str, title: str) -> HttpResponse:
    reader = Reader(request.school)
    lists = [listing(kind, reader) for kind in KINDS.values() if kind.page == page]
    return TemplateResponse(request, "casting/shelf/lists.html", {"title": title, "lists": lists})


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def new_thing(request: TeacherRequest, kind: str) -> HttpResponse:
    """Add a thing: from nothing, or like another one of the school."""
    what = _kind(kind)
    like = request.GET.get("like", "")
    row = copy_of(_row(request, what, int(like))) if like.isdecimal() else what.model(school=request.school)
    page = _Page(request, what, row)
    if request.method == "POST":
        return page.posted(request.POST.dict())
    return page.show(ThingForm(None, row=row))


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def thing(request: TeacherRequest, kind: str, row_id: int) -> HttpResponse:
    """Change a thing."""
    what = _kind(kind)
    row = _row(request, what, row_id)
    page = _Page(request, what, row)
    if request.method == "POST":
        return page.posted(request.POST.dict())
    return page.show(ThingForm(None, row=row))


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def house_rules(request: TeacherRequest) -> HttpResponse:
    """Change the house rules, all on one page."""
    row = rules_of(request.school) or HouseRules(school=request.school, key="house", name=str(HOUSE.many))
    page = _RulesPage(request, HOUSE, row)
    if request.method == "POST":
        return page.posted(request.POST.dict())
    return page.show(ThingForm(None, row=row))


@posted_from("thing", "kind", "row_id")
@teacher_required
def move_thing(request: TeacherRequest, kind: str, row_id: int) -> HttpResponse:
    """Move a thing within its list, put it away or take it out again."""
    what = _kind(kind)
    row = _row(request, what, row_id)
    do = request.POST.get("do", "")
    if do not in MOVES:
        return redirect(onward(request, what.page))
    try:
        effects = effects_of(request.school, lambda: MOVES[do](row))
        if effects and request.POST.get("effects") != seen_of(effects):
            context = {"kind": what, "row": row, "do": do, "effects": effects, "seen": seen_of(effects)}
            return TemplateResponse(request, "casting/shelf/before.html", context)
        MOVES[do](row)
    except shelf_services.NotMoved as wrong:
        messages.error(request, wrong.sentence)
    return redirect(onward(request, what.page))


@posted_from("new_thing", "kind")
@teacher_required
def parts_echo(request: TeacherRequest, kind: str) -> HttpResponse:
    """Say what the parts of a metal come to while they are being typed; nothing is written."""
    what = _kind(kind)
    if what.model is not Alloy:
        raise Http404
    form = ThingForm(None, row=Alloy(school=request.school), typed=request.POST.dict())
    return TemplateResponse(request, "casting/shelf/_parts.html", {"parts": _parts(form)})


@posted_from("new_thing", "kind")
@teacher_required
def firing_echo(request: TeacherRequest, kind: str) -> HttpResponse:
    """Draw and check a firing while it is being typed; nothing is written."""
    what = _kind(kind)
    if what.model is not Firing:
        raise Http404
    row_id = request.GET.get("row", "")
    row = _row(request, what, int(row_id)) if row_id.isdecimal() else Firing(school=request.school)
    form = ThingForm(None, row=row, typed=request.POST.dict())
    return TemplateResponse(request, "casting/shelf/_curve.html", {"curve": _curve(form)})


def _curve(form: ThingForm) -> FiringCheck | None:
    """The curve of a firing as it stands in its boxes, with what they refuse; None for anything else."""
    if not isinstance(form.row, Firing):
        return None
    typed = ThingForm(form.typed, row=form.row)
    said = {name: list(map(str, errors)) for name, errors in typed.errors.items()}
    wrong = [
        (str(typed.fields[name].label), " ".join(errors))
        for name, errors in said.items()
        if name.partition("-")[0] in ("segments", "kinds", "max_diameter_mm", "max_height_mm")
    ]
    if not wrong and isinstance(
        typed.changed_row, Firing
    ):  # a figure that is not touched is the stored one, whatever its box rounds it to
        return check_firing(typed.changed_row, [], form.units)
    row = copy.copy(form.row)
    for name in ("segments", "kinds", "max_diameter_mm", "max_height_mm"):
        setattr(row, name, form.readable(name))
    return check_firing(row, wrong if row.segments else [], form.units)


def _parts(form: ThingForm) -> Parts | None:
    """What the parts of a metal come to; None for anything else."""
    if not isinstance(form.row, Alloy):
        return None
    shares = {sign: share for sign, share in (form.readable("composition_pct") or {}).items() if sign}
    return parts_come_to(shares, form.readable("specific_gravity"))


MOVES: Mapping[str, Callable[[ShelfRow], None]] = {
    "away": shelf_services.put_away,
    "out": shelf_services.take_out,
    "earlier": lambda row: shelf_services.move(row, earlier=True),
    "later": lambda row: shelf_services.move(row, earlier=False),
}
"""What the buttons of a list do."""


ROW_DO = re.compile(r"(\d{1,2}) (up|down|under|out)")
"""What the buttons of a row of a firing do."""


def _kind(slug: str) -> Kind:
    """The kind of an address; 404 if there is none."""
    if slug not in KINDS:
        raise Http404
    return KINDS[slug]


def _row(request: TeacherRequest, kind: Kind, row_id: int) -> ShelfRow:
    """A row of the teacher's own school; 404 otherwise."""
    rows: Any = kind.model._default_manager.filter(school=request.school).select_related("school")
    row: ShelfRow = get_object_or_404(rows, pk=row_id)
    return row


@dataclass(frozen=True, slots=True)
class _Page:
    """The page of a thing."""

    request: TeacherRequest
    kind: Kind
    row: ShelfRow

    def posted(self, typed: Typed) -> HttpResponse:
        """Save what is posted, or show it again: with a value put back, or with what stops it."""
        row = self.row
        if row.pk and typed.get("version") != str(row.version):
            return self._changed_meanwhile()
        if "put_back" in typed:
            told = _("The shelf's value stands in its box again. Save to keep it.")
            return self.show(ThingForm(None, row=row, typed=put_back(typed, row, typed["put_back"])), told=told)
        if found := ROW_DO.fullmatch(typed.get("row", "")):
            moved = rearranged(typed, row, "segments", int(found[1]), found[2])
            return self.show(ThingForm(None, row=row, typed=moved))
        if "more" in typed:
            return self.show(ThingForm(None, row=row, typed=typed))
        form = ThingForm(typed, row=row)
        if not form.is_valid():
            return self.show(form, status=422)
        if row.pk and not form.changes_anything:
            return self._done(row)
        try:
            effects = effects_of(self.request.school, lambda: self._save(form))
            if effects and typed.get("effects") != seen_of(effects):
                return self.show(form, effects=effects)
            saved = self._save(form)
        except shelf_services.ChangedMeanwhile:
            return self._changed_meanwhile()
        return self._done(saved)

    def _done(self, saved: ShelfRow) -> HttpResponse:
        messages.success(self.request, _("Saved: %(name)s.") % {"name": saved.name})
        return redirect(onward(self.request, self.kind.page))

    def _save(self, form: ThingForm) -> ShelfRow:
        if not self.row.pk:
            return shelf_services.add(copy.copy(self.row), form.entry(), self.request.person)
        return shelf_services.change(self.row, form.entry(), self.row.version, self.request.person)

    def _changed_meanwhile(self) -> HttpResponse:
        """Show what somebody else has saved since, over it what this teacher typed."""
        row = _row(self.request, self.kind, self.row.pk)
        found = meanwhile(self.request.POST, row)
        page = type(self)(self.request, self.kind, row)
        return page.show(ThingForm(None, row=row, typed=found.texts), status=409, since=found)

    def show(
        self,
        form: ThingForm,
        status: int = 200,
        since: Since | None = None,
        effects: Sequence[Effect] = (),
        told: str = "",
    ) -> HttpResponse:
        """Show the boxes, each column with where its figures come from."""
        notes = self.notes()
        context: dict[str, Any] = {
            "form": form,
            "kind": self.kind,
            "row": self.row,
            "called": called(Reader(self.request.school), self.row) if self.row.pk else "",
            "columns": [(shown, notes.get(shown.column.name)) for shown in form.shown()],
            "since": since,
            "parts": _parts(form),
            "curve": _curve(form),
            "beside_solid": beside_solid(self.row),
            "star": FROM_MEMORY,
            "effects": effects,
            "told": told,
            "effects_seen": seen_of(effects),
        }
        context |= self.more(context["columns"])
        return TemplateResponse(self.request, self.template, context, status=status)

    @property
    def template(self) -> str:
        """The page's template."""
        return "casting/shelf/thing.html"

    def notes(self) -> Mapping[str, FigureNote]:
        """Where the figures of each column come from."""
        return notes_of(self.row, Reader(self.request.school)) if self.row.sources or self.row.pk else {}

    def more(self, columns: Sequence[tuple[ShownColumn, FigureNote | None]]) -> dict[str, Any]:
        """What this page alone shows."""
        return {}


class _RulesPage(_Page):
    """The page of the house rules, its columns under headings."""

    @property
    def template(self) -> str:
        return "casting/shelf/house_rules.html"

    def notes(self) -> Mapping[str, FigureNote]:
        assert isinstance(self.row, HouseRules)
        return rule_notes_of(self.row, Reader(self.request.school))

    def more(self, columns: Sequence[tuple[ShownColumn, FigureNote | None]]) -> dict[str, Any]:
        named = {shown.column.name: (shown, note) for shown, note in columns}
        return {"groups": [(group, [named[name] for name in group.rules]) for group in GROUPS]}
