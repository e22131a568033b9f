"""Notes what is wrong with a piece, and takes a note back; both keep who and when."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.models import DefectPhoto, Flask, PieceDefect, Plan, Wax
from casting.models.errors import NotPlanned
from casting.selectors.flasks import flask_of
from casting.services.day_shut import locked_open
from school.models import Person


@transaction.atomic
def note_defect(wax: Wax, *, kind: str, where: str, by: Person, note: str = "") -> PieceDefect:
    """Note a defect of a piece. Idempotent: the same one at the same place is noted once.

    Raises `NotPlanned` with a sentence if the wax is withdrawn, or its flask is not poured.
    """
    day = locked_open(wax.day_id)
    if wax.withdrawn_at is not None:
        raise NotPlanned(_("%(tag)s is withdrawn: there is no piece of it.") % {"tag": wax.tag})
    label = flask_of(Plan.objects.latest_of(day)).get(wax.tag)
    if label is None or day.states().get(label) != Flask.State.POURED:
        sentence = _("%(tag)s is not cast yet. Mark its flask as poured first.")
        raise NotPlanned(sentence % {"tag": wax.tag})
    kept, _made = PieceDefect.objects.get_or_create(
        wax=wax, kind=kind, where=where, taken_back_at=None, defaults={"by": by, "note": note}
    )
    return kept


@transaction.atomic
def take_back_defect(defect: PieceDefect, *, by: Person) -> None:
    """Take a note back; it stays in the table with who did so, and its picture goes. Idempotent."""
    locked_open(defect.wax.day_id)
    DefectPhoto.objects.filter(defect=defect).delete()
    PieceDefect.objects.filter(pk=defect.pk, taken_back_at__isnull=True).update(
        taken_back_at=timezone.now(), taken_back_by=by
    )
