"""Pictures of defects: cleaned in a child process as photos of waxes are, kept once, replaced, taken away."""

from __future__ import annotations

import hashlib

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.models import DefectPhoto, PieceDefect
from casting.models.errors import NotPlanned
from casting.services.day_shut import locked_open
from casting.services.photos import cleaned
from casting.services.waxes import NotWritten
from school.models import Student


def keep_picture(defect: PieceDefect, data: bytes) -> None:
    """Keep the picture of a defect in place of the one before; the same file sent again is the same picture.

    Raises `NotPlanned` with a sentence if it is no photo, the defect was taken back, or its student was forgotten.
    """
    sent_as = hashlib.blake2s(data, digest_size=16).hexdigest()
    if DefectPhoto.objects.filter(defect=defect, sent_as=sent_as).exists():
        return
    try:
        photo = cleaned(data)
    except NotWritten as refusal:
        raise NotPlanned(refusal.sentence) from refusal
    with transaction.atomic():
        # Forgetting takes the photos away under this lock: none comes back that was just being read.
        owner = Student.objects.select_for_update(of=("self",), no_key=True).get(pk=defect.wax.student_id)
        if owner.forgotten_at:
            raise NotPlanned(_("Its student was forgotten: no photo of it is kept any more."))
        locked_open(defect.wax.day_id)
        if PieceDefect.objects.filter(pk=defect.pk, taken_back_at__isnull=False).exists():
            raise NotPlanned(_("This defect was taken back. Note it again, then add its picture."))
        parts = {"sent_as": sent_as, "jpeg": photo.jpeg, "small": photo.small, "at": timezone.now()}
        DefectPhoto.objects.update_or_create(defect=defect, defaults=parts)


@transaction.atomic
def remove_picture(defect: PieceDefect) -> None:
    """Take the picture of a defect away; none may be there."""
    locked_open(defect.wax.day_id)
    DefectPhoto.objects.filter(defect=defect).delete()
