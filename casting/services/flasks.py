"""The teacher's decisions on flasks: a wax held to one, and how far each has come."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do
from casting.models import CastingDay, Flask, Plan, Wax, WaxChange, WaxHold
from casting.models.errors import NotPlanned
from casting.presenters.formats import stamp
from casting.selectors.account.flasks import has_metal
from casting.selectors.day_file import changed_since
from casting.selectors.flasks import STEP_OF, flask_contents
from casting.selectors.mishaps import mishaps_of, not_to_pour
from casting.services.day_shut import locked_open
from casting.services.poured import refuse_if_doubted, refuse_pour_at
from casting.services.running.noting import note, take_back
from school.models import Person


@transaction.atomic
def hold_wax(wax: Wax, label: str, by: Person) -> None:
    """Hold a wax to the flask of that label; an empty label lets it go.

    Raises `NotPlanned` with a sentence if the wax, or that flask without it, is on the bench already: no plan
    moves a wax in plaster.
    """
    locked_open(wax.day_id)
    _refuse_if_on_bench(wax, label)
    held = WaxHold.objects.filter(wax=wax).first()
    before = held.label if held else ""
    if label == before:
        return
    if label:
        WaxHold.objects.update_or_create(wax=wax, defaults={"label": label})
    else:
        WaxHold.objects.filter(wax=wax).delete()
    WaxChange.objects.create(wax=wax, by_person=by, before={"held": before}, after={"held": label})


def _refuse_if_on_bench(wax: Wax, label: str) -> None:
    states = wax.day.states()
    last = Plan.objects.latest_of(wax.day) if label and states else None
    there = next((at for at, tags in flask_contents(last).items() if wax.tag in tags), "") if last else ""
    words = {"tag": wax.tag, "label": label, "there": there}
    if there in states and there != label:
        sentence = _(
            "You want it in flask %(label)s, but it is in flask %(there)s, which is %(state)s and stays as it "
            "is. If %(there)s is not %(state)s, undo that on the page Flasks, then keep %(tag)s again."
        )
        raise NotPlanned(sentence % (words | {"state": Flask.State(states[there]).label}))
    if label in states and there != label:
        sentence = _(
            "Flask %(label)s is %(state)s without it. Choose another flask, or leave the field empty. If %(label)s "
            "is not %(state)s, undo that on the page Flasks, then keep %(tag)s again."
        )
        raise NotPlanned(sentence % (words | {"state": Flask.State(states[label]).label}))


def _refuse_if_held_elsewhere(plan: Plan, label: str) -> None:
    """Raise `NotPlanned` if holding a wax contradicts a flask of this plan: no later plan could keep both."""
    inside = flask_contents(plan)[label]
    held = WaxHold.objects.filter(wax__day=plan.day, wax__withdrawn_at__isnull=True).order_by("wax__tag")
    for tag, to in held.values_list("wax__tag", "label"):
        words = {"tag": tag, "label": label, "to": to}
        if tag in inside and to != label:
            sentence = _(
                "Wax %(tag)s is in flask %(label)s, but you keep it in flask %(to)s. If %(label)s is invested with it, "
                "empty its field on the page Waxes, then mark %(label)s again. If not, make the plan again."
            )
            raise NotPlanned(sentence % words)
        if tag not in inside and to == label:
            sentence = _(
                "You keep wax %(tag)s in flask %(label)s, but it is not in it. If %(label)s is invested without "
                "it, empty its field on the page Waxes, then mark %(label)s again. If not, make the plan again."
            )
            raise NotPlanned(sentence % words)


@transaction.atomic
def fix_flask(
    day: CastingDay,
    label: str,
    state: str,
    *,
    by: Person,
    revision: int | None = None,
    as_planned: bool = False,
    invested_at: datetime | None = None,
    poured_at: datetime | None = None,
) -> Flask:
    """Record the state of a flask, one step forward or back; once it is invested, every later plan keeps it as it is.

    `revision` is that of the plan that `by` looked at, if any. Raises `NotPlanned` with a sentence if the
    flask is not in the plan, that plan is no longer the last, a wax is held against it, or the step is impossible:
    only an invested flask is poured. Idempotent. Raises `ContentsChanged` if a wax of it was withdrawn or changed
    since that plan, unless it is invested `as_planned`; `PourDoubted` if its kiln was not noted on or its pour is much
    later, unless `poured_at` says when it was. `invested_at` is when it was filled, if not now.
    """
    locked_open(day.pk)
    last = Plan.objects.latest_of(day)
    if last is None or label not in {flask["label"] for flask in last.file["flasks"]}:
        raise NotPlanned(_("The plan has no flask %(label)s.") % {"label": label})
    if revision not in (None, last.revision):
        sentence = _("Plan revision %(now)s was made in the meantime. Check flask %(label)s in it, then press again.")
        raise NotPlanned(sentence % {"now": last.revision, "label": label})
    flask, _made = Flask.objects.get_or_create(day=day, label=label)
    before, after = Flask.State(flask.state), Flask.State(state)
    order = list(Flask.State)
    if abs(order.index(after) - order.index(before)) > 1:
        raise NotPlanned(_two_steps(after) % {"label": label})
    if after == before:
        return flask
    _refuse_if_gone_on(day, label, before, after)
    if before == Flask.State.PLANNED:
        _refuse_if_held_elsewhere(last, label)
        if not as_planned:
            _refuse_if_changed(last, label)
    elif after == Flask.State.POURED:
        refuse_if_doubted(last, label) if poured_at is None else refuse_pour_at(day, label, poured_at)
    flask.state = after
    flask.save(update_fields=["state"])
    if order.index(after) > order.index(before):
        note(day, STEP_OF[after], label, at=invested_at or poured_at or timezone.now(), by=by)
    else:
        take_back(day, STEP_OF[before], label, by=by)
    return flask


def _refuse_if_gone_on(day: CastingDay, label: str, before: Flask.State, after: Flask.State) -> None:
    """Raise `NotPlanned` if a flask is to go a step back from which something has gone on."""
    if before == Flask.State.POURED and day.steps_done.filter(do=Do.QUENCH, what=label).exists():
        raise NotPlanned(_("Flask %(label)s is quenched. Take that back first.") % {"label": label})
    if after != Flask.State.PLANNED:
        return
    if label in not_to_pour(mishaps_of(day), {label: before}):
        raise NotPlanned(_("Flask %(label)s is noted as lost. Take that note back first.") % {"label": label})
    if has_metal(day, label):
        sentence = _("Metal is weighed out for flask %(label)s. Take that back on the page Metal account first.")
        raise NotPlanned(sentence % {"label": label})


@transaction.atomic
def correct_invested_at(day: CastingDay, label: str, at: datetime, *, by: Person) -> None:
    """Correct when a flask was invested: it sets from then.

    Raises `NotPlanned` with a sentence if it is not invested, or that is in the future or over a day before its mix.
    """
    locked_open(day.pk)
    if day.states().get(label) != Flask.State.INVESTED:
        raise NotPlanned(_("Flask %(label)s is not invested. Mark it as invested first.") % {"label": label})
    now, zone = timezone.now(), day.course.school.tz
    words = {"label": label, "at": stamp(at.astimezone(zone)), "now": stamp(now.astimezone(zone))}
    if at > now:
        sentence = _("Flask %(label)s cannot have been invested on %(at)s: it is now %(now)s. Write when it was.")
        raise NotPlanned(sentence % words)
    known = [*_mixes(day, label), *day.steps_done.filter(do=Do.MIX, what=label).values_list("done_at", flat=True)]
    if known and at < min(known) - timedelta(days=1):
        sentence = _(
            "Flask %(label)s cannot have been invested on %(at)s: that is more than a day before %(mix)s, when it was "
            "to be mixed or was noted. Write when it was."
        )
        raise NotPlanned(sentence % (words | {"mix": stamp(min(known).astimezone(zone))}))
    note(day, Do.MIX, label, at=at, by=by)


def _mixes(day: CastingDay, label: str) -> list[datetime]:
    """When the last plan mixes a flask; nothing if it was planned as invested."""
    last = Plan.objects.latest_of(day)
    steps = last.file["steps"] if last else []
    return [datetime.fromisoformat(s["at"]) for s in steps if s["do"] == Do.MIX and label in s["flasks"]]


class ContentsChanged(NotPlanned):
    """A wax of the flask of `label` was withdrawn or changed since the plan."""

    def __init__(self, sentence: str, label: str) -> None:
        self.label = label
        super().__init__(sentence)


def _refuse_if_changed(plan: Plan, label: str) -> None:
    """Raise `ContentsChanged` if a wax of the flask is no longer what was planned, naming each."""
    words = {
        "withdrawn": _("Wax %(tag)s was withdrawn after this plan was made."),
        "changed": _("Wax %(tag)s was changed after this plan was made."),
    }
    if changed := changed_since(plan, label):
        said = " ".join(words[how] % {"tag": tag} for tag, how in changed.items())
        ask = _(
            "If flask %(label)s was invested with its waxes as planned, say so at the flask: its charge stays as it "
            "is. If not, make the plan again before you weigh out."
        )
        raise ContentsChanged(f"{said} {ask % {'label': label}}", label)


@transaction.atomic
def note_kiln(day: CastingDay, kiln: str, *, on: bool, by: Person, at: datetime | None = None) -> None:
    """Note that a kiln of the last plan is on, since now or that time, or take the note back. Idempotent.

    Raises `NotPlanned` if the plan fires no such kiln.
    """
    locked_open(day.pk)
    last = Plan.objects.latest_of(day)
    if last is None or kiln not in {firing["kiln"] for firing in last.file["firings"]}:
        raise NotPlanned(_("The plan fires no such kiln."))
    if not on:
        take_back(day, Do.KILN_ON, kiln, by=by)
    elif kiln not in day.kilns_on():
        note(day, Do.KILN_ON, kiln, at=at or timezone.now(), by=by)


def _two_steps(after: Flask.State) -> str:
    if after == Flask.State.POURED:
        return _("Flask %(label)s is not invested yet, so it cannot be poured. Mark it as invested first.")
    return _("Flask %(label)s is poured. Set it back to invested first.")
