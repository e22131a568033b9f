"""Photos: cleaned in a child process, kept once, replaced; those of waxes, and what goes with who is forgotten."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Callable, Collection, Mapping
from datetime import datetime
from typing import Any, TypeVar

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from casting.calc.values.enums import Tick
from casting.models import CastingDay, DefectPhoto, StepRecord, Wax, WaxPhoto
from casting.models.photo import Photo as PhotoRow
from casting.services.day_shut import locked_open, refuse_if_shut
from casting.services.waxes import HandInClosed, NotWritten
from casting.worker.photo import NotAPhoto, Photo, Why, clean_apart
from school.models import Student

AT_ONCE = threading.BoundedSemaphore(2)
"""So many children draw photos for one server process: each may take much memory."""
PATIENCE_S = 30

Row = TypeVar("Row", bound=PhotoRow)
Parts = Mapping[str, Any]
"""The columns of a photo."""

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
    """Keep the photo of a wax as `keep` does. Raises `NoPhoto`, `Busy`, or `HandInClosed` if the day is shut."""

    def write(parts: Parts) -> WaxPhoto:
        return WaxPhoto.objects.update_or_create(wax=wax, defaults=parts)[0]

    return keep(WaxPhoto.objects.filter(wax=wax), data, wax.day_id, [wax.student_id], at, write)


def keep(
    there: QuerySet[Row],
    data: bytes,
    day_id: int,
    owners: Collection[int],
    at: datetime | None,
    write: Callable[[Parts], Row],
) -> Row:
    """Keep a photo in place of the one that is `there`; the same file sent again is the same photo.

    `at` is when it was chosen, now if nobody says: a photo that comes late does not take a newer one's place. `owners`
    are the students whose work it shows; `write` writes its row from its columns while they and the day are locked.
    Raises `NoPhoto`, `Busy`, or `HandInClosed` if the day is cancelled or closed.
    """
    sent_as, chosen_at = hashlib.blake2s(data, digest_size=16).hexdigest(), at or timezone.now()
    stays = there.filter(Q(sent_as=sent_as) | Q(at__gt=chosen_at))
    if kept := stays.first():
        return kept
    refuse_if_shut(CastingDay.objects.get(pk=day_id), HandInClosed)
    photo = cleaned(data)
    with transaction.atomic():
        # Forgetting takes the photos away under this lock: none comes back that was just being read.
        locked = Student.objects.select_for_update(of=("self",), no_key=True).filter(pk__in=owners).order_by("pk")
        if any(owner.forgotten_at for owner in list(locked)):
            raise NoPhoto(str(_("Its student was forgotten: no photo of it is kept any more.")))
        locked_open(day_id, HandInClosed)
        if kept := stays.first():
            return kept
        return write({"sent_as": sent_as, "jpeg": photo.jpeg, "small": photo.small, "at": chosen_at})


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
    """Take away every photo of a student's waxes and pieces, and of the bases that these stood on, on closed days too;
    return how many there were."""
    waxes, _by_model = WaxPhoto.objects.filter(wax__student=student).delete()
    pieces, _by_model = DefectPhoto.objects.filter(defect__wax__student=student).delete()
    own = set(Wax.objects.filter(student=student).values_list("day_id", "tag"))
    taken = StepRecord.objects.filter(do=Tick.PHOTO, day__in={day_id for day_id, _tag in own})
    bases = [step.pk for step in taken if any((step.day_id, tag) in own for tag in step.figures["tags"])]
    StepRecord.objects.filter(pk__in=bases).delete()
    return waxes + pieces + len(bases)
