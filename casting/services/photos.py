"""Photos of waxes: cleaned in a child process, kept once, replaced, taken away."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from casting.models import CastingDay, DefectPhoto, Wax, WaxPhoto
from casting.services.day_shut import locked_open, refuse_if_shut
from casting.services.waxes import HandInClosed, NotWritten
from casting.worker.photo import NotAPhoto, Photo, Why, clean_apart
from school.models import Student

AT_ONCE = threading.BoundedSemaphore(2)
"""So many children draw photos for one server process: each may take much memory."""
PATIENCE_S = 30

SENTENCES: Mapping[Why, str | Promise] = {
    Why.EMPTY: _("The photo is empty: nothing of it arrived. Take it again."),
    Why.TOO_LONG: _("The photo is larger than 12 MB, and that is the most. Take it again at a smaller size."),
    Why.NO_PICTURE: _("That file is no photo of the kinds JPEG, PNG or WebP. Take a photo with the camera."),
    Why.TOO_MANY_PIXELS: _(
        "The photo has %(pixels)d million pixels, and 30 million are the most. Take it again at a smaller size."
    ),
    Why.MOVES: _("That file is a moving picture. Choose a photo that stands still."),
    Why.BROKEN: _("The photo is cut off or damaged. Take it again."),
    Why.TOO_SLOW: _("The photo could not be read in the time and memory that one may take. Take it again, smaller."),
}


class NoPhoto(NotWritten):
    """The file is no photo that can be kept."""


class Busy(NotWritten):
    """Too many photos are being read just now."""


def keep_photo(wax: Wax, data: bytes, *, at: datetime | None = None) -> WaxPhoto:
    """Keep the photo of a wax in place of the one before; the same file sent again is the same photo.

    `at` is when it was chosen, now if nobody says: a photo that comes late does not take a newer one's place.
    Raises `NoPhoto`, `Busy`, or `HandInClosed` if the day is cancelled or closed.
    """
    sent_as, chosen_at = hashlib.blake2s(data, digest_size=16).hexdigest(), at or timezone.now()
    stays = WaxPhoto.objects.filter(Q(sent_as=sent_as) | Q(at__gt=chosen_at), wax=wax)
    if there := stays.first():
        return there
    refuse_if_shut(CastingDay.objects.get(pk=wax.day_id), HandInClosed)
    photo = cleaned(data)
    with transaction.atomic():
        # Forgetting takes the photos away under this lock: none comes back that was just being read.
        owner = Student.objects.select_for_update(of=("self",), no_key=True).get(pk=wax.student_id)
        if owner.forgotten_at:
            raise NoPhoto(str(_("Its student was forgotten: no photo of it is kept any more.")))
        locked_open(wax.day_id, HandInClosed)
        if there := stays.first():
            return there
        parts = {"sent_as": sent_as, "jpeg": photo.jpeg, "small": photo.small, "at": chosen_at}
        kept, _made = WaxPhoto.objects.update_or_create(wax=wax, defaults=parts)
    return kept


def cleaned(data: bytes) -> Photo:
    """Return the photo of a file, drawn by a child while no row is locked. Raises `NoPhoto` or `Busy`."""
    if not AT_ONCE.acquire(timeout=PATIENCE_S):
        raise Busy(str(_("Many photos are being read just now. Send it again in a minute.")))
    try:
        return clean_apart(data)
    except NotAPhoto as refused:
        raise NoPhoto(str(SENTENCES[refused.why]) % {"pixels": round(refused.pixels / 1e6)}) from None
    finally:
        AT_ONCE.release()


@transaction.atomic
def remove_photo(wax: Wax) -> None:
    """Take the photo of a wax away; none may be there. Raises `HandInClosed` if the day is cancelled or closed."""
    locked_open(wax.day_id, HandInClosed)
    WaxPhoto.objects.filter(wax=wax).delete()


def forget_photos(student: Student) -> int:
    """Take away every photo of a student's waxes and pieces, on closed days too; return how many there were."""
    waxes, _by_model = WaxPhoto.objects.filter(wax__student=student).delete()
    pieces, _by_model = DefectPhoto.objects.filter(defect__wax__student=student).delete()
    return waxes + pieces
