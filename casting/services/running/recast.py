"""The recast list: a piece put on it, a place kept on another day, who pays for the first casting."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.values.mishap import Fate
from casting.models import BenchChange, CastingDay, Recast, Wax
from casting.models.errors import NotPlanned
from casting.presenters.formats import on_clock_of
from casting.selectors.account.bills import bills_of
from casting.selectors.recast import not_on_list
from casting.services.day_shut import locked_open
from school.models import Person

PLACE, PAYS = "place", "pays"
"""What a change of a place, and of who pays, is called among the changes of the bench."""


@transaction.atomic
def put_on_list(wax: Wax, *, by: Person) -> Recast:
    """Put a piece on the list that did not come out, or did not fill. Idempotent.

    Raises `NotPlanned` with a sentence if nobody noted either of it.
    """
    day = locked_open(wax.day_id)
    row = Recast.objects.filter(wax=wax).first()
    if row is not None:
        return row
    if wax not in not_on_list(day):
        sentence = _("Nobody noted that %(tag)s did not come out or did not fill. Note that first.")
        raise NotPlanned(sentence % {"tag": wax.tag})
    row = Recast.objects.create(wax=wax, fate=Fate.AGAIN, at=timezone.now(), by=by)
    _change(day, "piece", wax.tag, by, None, {"fate": row.fate})
    return row


@transaction.atomic
def keep_place(row: Recast, day: CastingDay | None, *, by: Person) -> None:
    """Keep a place for a piece on a day of its student's class, or let it go (None). Idempotent.

    No wax is made: its student makes a new one, and nobody knows yet what it weighs.
    Raises `NotPlanned` with a sentence if the piece is not cast again, or the day takes no waxes.
    """
    row = _locked(row)
    if (day.pk if day else None) == row.next_day_id:
        return
    words = {"tag": row.wax.tag}
    if day is not None:
        locked_open(day.pk)
        if row.fate != Fate.AGAIN:
            raise NotPlanned(_("%(tag)s is not to be cast again. Decide that first.") % words)
        if day.course_id != row.wax.student.course_id or not day.hand_in_open():
            sentence = _("The day chosen for %(tag)s takes no waxes of its student. Choose one of the list.")
            raise NotPlanned(sentence % words)
    before, row.next_day, row.version = row.next_day, day, row.version + 1
    row.save(update_fields=["next_day", "version"])
    _change(row.wax.day, PLACE, row.wax.tag, by, {"place": _on(before)}, {"place": _on(day)})


@transaction.atomic
def decide_who_pays(row: Recast, pays: str, *, by: Person) -> None:
    """Decide who pays for the first casting; blank is not decided. Idempotent.

    Raises `NotPlanned` with a sentence if the student's bill of that day is made, or the day is shut.
    """
    row = _locked(row)
    if pays == row.pays:
        return
    if pays not in ("", *Recast.Pays.values):
        raise NotPlanned(_("Choose who pays for the first casting, or leave it open."))
    day = locked_open(row.wax.day_id)
    if bill := bills_of(day).get(row.wax.student_id):
        words = {"tag": row.wax.tag, "number": bill.details["number"]}
        sentence = _("Bill %(number)s is made, so who pays for %(tag)s stays. Take the bill back first.")
        raise NotPlanned(sentence % words)
    before, row.pays, row.version = row.pays, pays, row.version + 1
    row.save(update_fields=["pays", "version"])
    _change(day, PAYS, row.wax.tag, by, {"pays": before}, {"pays": pays})


def _locked(row: Recast) -> Recast:
    rows = Recast.objects.select_for_update(of=("self",))
    return rows.select_related("wax__student", "wax__day__course__school", "next_day__course__school").get(pk=row.pk)


def _on(day: CastingDay | None) -> str:
    return on_clock_of(day.pour_at, day.course.school) if day else ""


def _change(
    day: CastingDay, do: str, what: str, by: Person, before: dict[str, Any] | None, after: dict[str, Any]
) -> None:
    BenchChange.objects.create(day=day, do=do, what=what, by_person=by, before=before, after=after)
