"""Clearing a caution for a day, with a name and a reason, and taking that back: the only writer of what was cleared."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.models import CastingDay, CautionCleared, Plan
from casting.presenters.cautions import ShownCaution, cautions_of_day
from casting.presenters.opened_plan import OpenedPlan
from casting.services.day_shut import locked_open
from school.models import Person

NAME_MOST, REASON_MOST = 80, 200


class NotCleared(Exception):
    """Nothing was cleared; `sentence` says why."""

    def __init__(self, sentence: str) -> None:
        self.sentence = sentence
        super().__init__(sentence)


@transaction.atomic
def clear(day: CastingDay, caution_id: str, *, by: str, reason: str, text: str | None = None) -> list[CautionCleared]:
    """Clear a caution of the day's last plan, or of what the day offers before there is one.

    It is cleared in its present words: when its figures change it is asked again, but not when the
    school changes its units. With `text`, only the caution shown in those words.
    Raises `NotCleared` without a name or a reason, for what nobody may clear, and for what another teacher has
    cleared meanwhile: the first one's name and reason stand on the sheets.
    """
    day = locked_open(day.pk, NotCleared)
    by, reason = by.strip(), reason.strip()
    if not by or not reason:
        raise NotCleared(_("Write your name and the reason: both are printed on every sheet."))
    found = [caution for caution in _standing(day) if caution.id == caution_id and text in (None, caution.text)]
    if not found:
        raise NotCleared(_("That caution is gone. Look at the list again."))
    if len(by) > NAME_MOST or len(reason) > REASON_MOST:
        raise NotCleared(
            _("Keep the name under 80 characters and the reason under 200: they are printed on every sheet.")
        )
    if not all(caution.clearable for caution in found):
        raise NotCleared(_("This one cannot be cleared. Change its cause and make the plan again."))
    return [_clear_one(day, caution, by, reason) for caution in found]


def _clear_one(day: CastingDay, caution: ShownCaution, by: str, reason: str) -> CautionCleared:
    said = {"by": by, "reason": reason}
    row, new = CautionCleared.objects.get_or_create(
        day=day, caution=caution.id, text=str(caution.as_raised), taken_back_at=None, defaults=said
    )
    if not new and (row.by, row.reason) != (by, reason):
        sentence = _("%(name)s has cleared this meanwhile: “%(reason)s”. That stands on the sheets.")
        raise NotCleared(sentence % {"name": row.by, "reason": row.reason})
    return row


@transaction.atomic
def take_back(day: CastingDay, caution_id: str, *, by: Person, text: str) -> None:
    """Take a clearance back: the caution shown in these words is asked again at once.

    Raises `NotCleared` if nothing clears it now.
    """
    day = locked_open(day.pk, NotCleared)
    shown = [one for one in _standing(day) if one.id == caution_id and one.text == text and one.cleared_by]
    rows = CautionCleared.objects.filter(
        day=day, caution=caution_id, text__in=[str(one.as_raised) for one in shown], taken_back_at__isnull=True
    )
    if not rows.update(taken_back_by=by.printed_name[:NAME_MOST], taken_back_at=timezone.now()):
        raise NotCleared(_("Nobody clears that one now. Look at the list again."))


def _standing(day: CastingDay) -> tuple[ShownCaution, ...]:
    plan = Plan.objects.latest_of(day)
    return OpenedPlan(plan).cautions if plan else cautions_of_day(day)
