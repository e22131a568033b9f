"""A photo of a finished base before it goes into its flask: kept as photos of waxes are, with who took it and when."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.values.enums import Tick
from casting.models import BasePhoto, CastingDay, Plan, Wax
from casting.models.errors import NotPlanned
from casting.selectors.flasks import flask_contents
from casting.services.day_shut import locked_open
from casting.services.photos import Parts, keep
from casting.services.running.noting import note, take_back
from school.models import Person


def keep_base_photo(day: CastingDay, label: str, data: bytes, *, by: Person, at: datetime | None = None) -> BasePhoto:
    """Keep the photo of a flask's base as `photos.keep` does, with the waxes that stood on it when it was taken.

    Raises `NotPlanned` if no such flask was planned then.
    """
    taken_at = at or timezone.now()
    tags = _waxes_on(day, label, taken_at)

    def write(parts: Parts) -> BasePhoto:
        figures = {"tags": tags, "photo": parts["sent_as"]}
        step = note(day, Tick.PHOTO, label, at=taken_at, by=by, figures=figures)
        return BasePhoto.objects.update_or_create(step=step, defaults=parts)[0]

    owners = Wax.objects.filter(day=day, tag__in=tags).values_list("student_id", flat=True)
    there = BasePhoto.objects.filter(step__day=day, step__do=Tick.PHOTO, step__what=label)
    return keep(there, data, day.pk, set(owners), taken_at, write)


@transaction.atomic
def remove_base_photo(day: CastingDay, label: str, *, by: Person) -> None:
    """Take the photo of a flask's base away; none may be there."""
    locked_open(day.pk)
    take_back(day, Tick.PHOTO, label, by=by)


def _waxes_on(day: CastingDay, label: str, at: datetime) -> list[str]:
    """The tags of the waxes of a flask in the plan of that moment; a photo may wait long for the network."""
    then = Plan.objects.filter(day=day, made_at__lte=at).first() or Plan.objects.latest_of(day)
    tags = flask_contents(then).get(label) if then else None
    if tags is None:
        raise NotPlanned(_("The last plan has no flask %(label)s.") % {"label": label[:3]})
    return sorted(tags)
