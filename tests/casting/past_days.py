"""Casting days that have been: copies of a planned day at earlier dates, noted and weighed back, for looking back."""

import datetime as dt
import uuid
from decimal import Decimal as D

from django.utils import timezone

from casting.calc.values.enums import Do, Tick
from casting.models import CastingDay, Flask, KilnReading, Plan, StepRecord, Wax
from casting.selectors.account.flasks import planned_flask
from casting.services.account.flasks import Back, settle, weigh_back, weigh_out

FALL_FROM_MIN = 557
"""When the kiln of the planned day begins to fall from its top, since it went on [min]: 01:44 to 11:01."""


def earlier(day, back, student=None):
    """A copy of a planned day so many days ago, its flasks poured, its waxes a student's if one is given."""
    alloys, waxes = list(day.alloys.all()), list(day.waxes.all())
    plans = list(Plan.objects.filter(day=day).order_by("revision"))
    past = CastingDay.objects.create(course=day.course, pour_at=timezone.now() - dt.timedelta(days=back))
    past.alloys.set(alloys)
    for wax in waxes:
        wax.pk, wax.day, wax.key = None, past, uuid.uuid4()
        wax.student = student or wax.student
    Wax.objects.bulk_create(waxes)
    Plan.objects.bulk_create(
        Plan(day=past, revision=one.revision, day_file=one.day_file, plan_file=one.plan_file) for one in plans
    )
    labels = [flask["label"] for flask in plans[-1].file["flasks"]]
    Flask.objects.bulk_create(Flask(day=past, label=label, state=Flask.State.POURED) for label in labels)
    return past


def in_month(day, month, year=2025):
    """The same day in a month of a year that has been."""
    CastingDay.objects.filter(pk=day.pk).update(pour_at=dt.datetime(year, month, 14, 17, tzinfo=dt.UTC))


def weighed(day, lot, by, button, sprues="1", each="33", label="A", charge=None):
    """Weigh a flask out as planned and back, and settle it; what is left is lost."""
    flask = planned_flask(day, label)
    weigh_out(day, label, {lot.pk: D(charge) if charge else flask.charge_g}, by=by)
    back = Back({wax.pk: D(each) for wax in flask.waxes}, D(button), D(sprues))
    weigh_back(day, label, back, by=by)
    settle(day, label, by=by)


def noted(day, do, what, at):
    StepRecord.objects.create(day=day, do=do, what=what, done_at=at)


def poured(day, minutes, label="A"):
    """A flask out of the kiln, and poured so much later."""
    noted(day, Tick.OUT, label, day.pour_at)
    noted(day, Do.POUR, label, day.pour_at + dt.timedelta(minutes=minutes))


def read(day, *readings, kiln="k1"):
    """A kiln that went on in the night, read so many minutes later."""
    on = day.pour_at - dt.timedelta(hours=13)
    noted(day, Do.KILN_ON, kiln, on)
    KilnReading.objects.bulk_create(
        KilnReading(day=day, kiln=kiln, at=on + dt.timedelta(minutes=at), celsius=celsius) for at, celsius in readings
    )


def three_days(day, lot, by, buttons=("18", "18.5", "19")):
    """Three past days with 100 g of pieces each and so much beyond them, half a gram of it lost; the latest first."""
    past = [earlier(day, back) for back in (7, 14, 21)]
    for one, button in zip(past, buttons, strict=True):
        weighed(one, lot, by, D(button) - D("0.5"), charge=100 + D(button))
    return past
