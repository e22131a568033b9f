"""Storing a plan that was made of a day: the only writer of plans."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do
from casting.dayfile.writing import lay_out
from casting.models import CastingDay, Flask, Plan
from casting.models.errors import NotPlanned
from casting.presenters.near_clock import near_clock
from casting.selectors.day_file import is_outdated
from casting.selectors.searches import latest, sooner_in
from casting.services.day_shut import locked_open
from school.models import Person


def store_plan(day: CastingDay, day_file: str, plan_file: str, by: Person | None) -> Plan:
    """Store the plan of a day file as the next revision.

    Raises `NotPlanned` if its work should have begun already.
    """
    refuse_if_late(json.loads(plan_file), json.loads(day_file), timezone.now().astimezone(day.course.school.tz))
    with transaction.atomic():
        locked_open(day.pk)
        last = Plan.objects.latest_of(day)
        plan = Plan.objects.create(
            day=day,
            revision=last.revision + 1 if last else 1,
            day_file=day_file,
            plan_file=plan_file,
            made_by=by,
        )
        _keep_flask_rows(day, {flask["label"] for flask in plan.file["flasks"]})
    return plan


def take_sooner(day: CastingDay, revision: str, by: Person) -> Plan:
    """Store the plan that ends earlier than the cheapest as the next revision; `NotPlanned` if the day has moved on.

    `revision` is that of the cheapest plan, beside which it was shown.
    """
    with transaction.atomic():
        locked_open(day.pk)
        search, cheapest = latest(day), Plan.objects.latest_of(day)
        sooner = sooner_in(search) if search is not None and cheapest is not None else None
        if (
            sooner is None
            or cheapest is None
            or search is None
            or (search.plan_id, revision)
            != (
                cheapest.pk,
                str(cheapest.revision),
            )
        ):
            raise NotPlanned(_("Another plan was made meanwhile. That one stands."))
        asked = cheapest.day_values
        done = day.states().keys() - set(asked["fixed"]) | day.kilns_on().keys() - set(asked.get("kiln_on_at", ()))
        if done or is_outdated(cheapest):
            raise NotPlanned(_("The day has changed since this plan was found. Make the plan again."))
        return store_plan(day, cheapest.day_file, lay_out(sooner), by)


def refuse_if_late(plan: Mapping[str, Any], day_file: Mapping[str, Any], now: datetime) -> None:
    """Raise `NotPlanned` if the first work that is still to be done is before `now`, on the school's clock.

    Mounting does not count: a last plan is often made while the waxes are being mounted.
    """
    sentences = {
        Do.MIX: _("Mixing should have started on %(then)s and it is now %(now)s. Set a later first pour."),
        Do.LOAD: _("The kiln should have been loaded on %(then)s and it is now %(now)s. Set a later first pour."),
        Do.KILN_ON: _("The kiln should have gone on by %(then)s and it is now %(now)s. Set a later first pour."),
        Do.POUR: _("The first pour should have been on %(then)s and it is now %(now)s. Set a later first pour."),
    }
    poured = set(day_file.get("poured", ()))
    on = set(day_file.get("kiln_on_at", ())) | {step["kiln"] for step in plan["steps"] if set(step["flasks"]) & poured}
    to_do = [
        (datetime.fromisoformat(step["at"]), Do(step["do"]))
        for step in plan["steps"]
        if step["do"] in sentences
        and set(step["flasks"]) - poured
        and (step["do"] in (Do.MIX, Do.POUR) or step["kiln"] not in on)
    ]
    if not poured:
        to_do.append((datetime.fromisoformat(day_file["pour_at"]), Do.POUR))
    then, do = min(to_do, default=(now, Do.POUR))
    if then >= now:
        return
    local = then.astimezone(now.tzinfo)
    raise NotPlanned(sentences[do] % {"then": near_clock(local, now), "now": near_clock(now, local)})


def _keep_flask_rows(day: CastingDay, labels: set[str]) -> None:
    """Keep one row for each flask of the plan; rows of flasks on the bench always stay."""
    day.flasks.filter(state=Flask.State.PLANNED).exclude(label__in=labels).delete()
    there = set(day.flasks.values_list("label", flat=True))
    Flask.objects.bulk_create(Flask(day=day, label=label) for label in sorted(labels - there))
