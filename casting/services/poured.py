"""Whether a flask that somebody marks as poured can have been, and when it was."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do
from casting.dayfile.rules_file import rulebook
from casting.dayfile.times import is_before
from casting.models import CastingDay, Flask, Plan
from casting.models.errors import NotPlanned
from casting.presenters.formats import minutes, on_clock_of
from casting.services.day_shut import locked_open
from casting.services.running.noting import note
from school.models import Person


class PourDoubted(NotPlanned):
    """What is noted or planned speaks against the flask of `label` being poured; whoever saw it poured says when."""

    def __init__(self, sentence: str, label: str) -> None:
        self.label = label
        super().__init__(sentence)


def refuse_if_doubted(plan: Plan, label: str) -> None:
    """Raise `PourDoubted` if nobody noted the flask's kiln on, or it is long before its pour."""
    if said := [one for one in (_kiln_off(plan, label), _too_early(plan, label)) if one]:
        ask = _("If flask %(label)s is poured all the same, say at the flask when. If not, leave it.")
        raise PourDoubted(" ".join([*said, ask % {"label": label}]), label)


def _kiln_off(plan: Plan, label: str) -> str:
    """A sentence unless the flask's kiln was noted on, or another flask was poured from it."""
    flasks = {one["label"]: one["kiln"] for one in plan.file["flasks"]}
    key = flasks[label]
    poured = {one for one, state in plan.day.states().items() if state == Flask.State.POURED}
    if key in plan.day.kilns_on() or any(flasks.get(one) == key for one in poured):
        return ""
    called = next((row.get("name") or key for row in plan.day_values["kilns"] if row["key"] == key), key)
    return _("Nobody noted on the page Day plan that %(kiln)s is on, and flask %(label)s is to come out of it.") % {
        "kiln": called,
        "label": label,
    }


def _too_early(plan: Plan, label: str) -> str:
    """A sentence if the flask's pour is planned for much later than now."""
    planned, now = _planned(plan, label), timezone.now()
    early = int((planned - now) / timedelta(minutes=1))
    if early <= rulebook().limit("poured_early_min"):
        return ""
    school = plan.day.course.school
    words = {"label": label, "planned": on_clock_of(planned, school), "now": on_clock_of(now, school)}
    sentence = _("Flask %(label)s is to be poured on %(planned)s, and it is now %(now)s: %(early)s earlier.")
    return sentence % (words | {"early": minutes(early)})


def _planned(plan: Plan, label: str) -> datetime:
    return next(datetime.fromisoformat(one["out_at"]) for one in plan.file["flasks"] if one["label"] == label)


def refuse_pour_at(day: CastingDay, label: str, at: datetime) -> None:
    """Raise `NotPlanned` if a flask cannot have been poured then: that is to come, or before it was invested."""
    now, school = timezone.now(), day.course.school
    words = {"label": label, "at": on_clock_of(at, school), "now": on_clock_of(now, school)}
    if at > now:
        sentence = _("Flask %(label)s cannot have been poured on %(at)s: it is now %(now)s. Write when it was.")
        raise NotPlanned(sentence % words)
    invested = day.steps_done.filter(do=Do.MIX, what=label).values_list("done_at", flat=True).first()
    if invested is not None and is_before(at, invested):
        sentence = _(
            "Flask %(label)s cannot have been poured on %(at)s: it was invested on %(invested)s. Correct the time that "
            "is wrong."
        )
        raise NotPlanned(sentence % (words | {"invested": on_clock_of(invested, school)}))


@transaction.atomic
def correct_poured_at(day: CastingDay, label: str, at: datetime, *, by: Person) -> None:
    """Correct when a flask was poured; raises `NotPlanned` with a sentence if it is not, or was not then."""
    locked_open(day.pk)
    if day.states().get(label) != Flask.State.POURED:
        raise NotPlanned(_("Flask %(label)s is not poured. Mark it as poured first.") % {"label": label})
    refuse_pour_at(day, label, at)
    note(day, Do.POUR, label, at=at, by=by)
