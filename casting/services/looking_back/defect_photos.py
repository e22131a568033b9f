"""Pictures of defects: kept as photos of waxes are, and taken away."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from casting.models import DefectPhoto, PieceDefect
from casting.services.day_shut import locked_open
from casting.services.photos import NoPhoto, Parts, keep


def keep_picture(defect: PieceDefect, data: bytes, *, at: datetime | None = None) -> DefectPhoto:
    """Keep the picture of a defect as `photos.keep` does; also `NoPhoto` if the defect was taken back."""

    def write(parts: Parts) -> DefectPhoto:
        if PieceDefect.objects.filter(pk=defect.pk, taken_back_at__isnull=False).exists():
            raise NoPhoto(_("This defect was taken back. Note it again, then add its picture."))
        return DefectPhoto.objects.update_or_create(defect=defect, defaults=parts)[0]

    wax = defect.wax
    return keep(DefectPhoto.objects.filter(defect=defect), data, wax.day_id, [wax.student_id], at, write)


@transaction.atomic
def remove_picture(defect: PieceDefect) -> None:
    """Take the picture of a defect away; none may be there."""
    locked_open(defect.wax.day_id)
    DefectPhoto.objects.filter(defect=defect).delete()
