"""A bowl at the investing bench: its water, when the powder met it, the gauge, when its gloss was gone, its flasks.

A bowl is known by the letters of its flasks, as "A+E".
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from casting.calc.quantities.investment import water_per_100_of
from casting.calc.values.enums import Tick
from casting.calc.values.tolerances import EASE
from casting.dayfile.defects_file import cause_rules
from casting.dayfile.rules_file import rulebook
from casting.dayfile.times import is_before
from casting.models import CastingDay, Flask, Plan
from casting.models.errors import NotPlanned
from casting.presenters.formats import decimals, degrees, minutes, on_clock_of, plain, units_of
from casting.presenters.running.mixing import JOINED
from casting.services.day_shut import locked_open
from casting.services.days import keep_measured_gloss
from casting.services.flasks import fix_flask
from casting.services.running.gauge import read_gauge
from casting.services.running.noting import note, take_back
from casting.units import Mass, NotUnderstood, Temperature, celsius, grams, read_number
from school.models import Person

LEAST_MIN, MOST_MIN = 1, 60
"""When the gloss may be gone, as a day file takes it [min]."""


class WaterDoubted(NotPlanned):
    """The water of `bowl` is not what is planned to its powder; whoever weighed it says that it is right."""

    def __init__(self, sentence: str, bowl: str) -> None:
        self.bowl = bowl
        super().__init__(sentence)


@transaction.atomic
def note_water(day: CastingDay, bowl: str, typed: str, *, by: Person, at: datetime) -> None:
    """Note how warm the water of a bowl is, as typed in the school's unit."""
    _waiting(day, bowl)
    unit = Temperature(units_of(day.course.school).temperature)
    try:
        read_c = round(float(celsius(read_number(typed, unit), unit)), 1)
    except NotUnderstood as wrong:
        raise NotPlanned(wrong.sentence) from wrong
    most_c = rulebook().limit("mix_water_most_c")
    if read_c > most_c:
        words = {"typed": typed[:20], "most": degrees(most_c, units_of(day.course.school))}
        sentence = _(
            "“%(typed)s” is hotter than the water of any mix: %(most)s is the most. Read it again, and look at the "
            "powder's sheet."
        )
        raise NotPlanned(sentence % words)
    note(day, Tick.WATER, bowl, at=at, by=by, figures={"celsius": read_c})


@transaction.atomic
def note_water_weighed(day: CastingDay, bowl: str, typed: str, *, by: Person, at: datetime, sure: bool = False) -> None:
    """Note what the water of a bowl weighs, in g as the plan tells it.

    Raises `NotPlanned` with a sentence if it is no weight, `WaterDoubted` if it makes the mix wet or dry, unless
    `sure`.
    """
    asked = _waiting(day, bowl)
    try:
        water_g = grams(read_number(typed, Mass.GRAM), Mass.GRAM)
    except NotUnderstood as wrong:
        raise NotPlanned(wrong.sentence) from wrong
    if not water_g:
        raise NotPlanned(_("“%(typed)s” g is not a weight of water. Weigh it again.") % {"typed": typed[:20]})
    if not sure:
        _ask_if_wet_or_dry(bowl, float(water_g), asked)
    figures = {"water_g": f"{water_g.normalize():f}", "powder_g": asked["powder_g"], "asked_g": asked["water_g"]}
    note(day, Tick.WATER_G, bowl, at=at, by=by, figures=figures)


def _ask_if_wet_or_dry(bowl: str, water_g: float, asked: Mapping[str, Any]) -> None:
    """Raise `WaterDoubted` for so much more or less water than planned that it is a known cause of a defect."""
    off_pct = 100 * (water_g / asked["water_g"] - 1)
    cause = next(rule for rule in cause_rules() if rule.id == ("water-much" if off_pct > 0 else "water-little"))
    if abs(off_pct) <= cause.by_pct + EASE:
        return
    per_100, asked_per_100 = (water_per_100_of(one_g, asked["powder_g"]) for one_g in (water_g, asked["water_g"]))
    words = {"water": plain(water_g), "powder": plain(asked["powder_g"]), "asked": decimals(asked["water_g"], 1)}
    words |= {
        "ratio": decimals(per_100, 1),
        "asked_ratio": decimals(asked_per_100, 1),
        "off": decimals(abs(off_pct), 1),
    }
    if off_pct > 0:
        sentence = _(
            "%(water)s g of water to %(powder)s g of powder is %(ratio)s to 100, and %(asked_ratio)s is planned: "
            "%(off)s %% too much. A wet mix is weak and leaves fins. Weigh again: %(asked)s g. Or say that it is right."
        )
    else:
        sentence = _(
            "%(water)s g of water to %(powder)s g of powder is %(ratio)s to 100, and %(asked_ratio)s is planned: "
            "%(off)s %% too little. A dry mix holds air and leaves a rough skin. Weigh again: %(asked)s g. Or say that "
            "it is right."
        )
    raise WaterDoubted(sentence % words, bowl)


@transaction.atomic
def begin_bowl(day: CastingDay, bowl: str, *, by: Person, at: datetime, who: str = "") -> None:
    """Note that the powder of a bowl met its water: from then it can be worked for its minutes."""
    _waiting(day, bowl)
    note(day, Tick.MIXING, bowl, at=at, by=by, who=who)


@transaction.atomic
def undo_begun(day: CastingDay, bowl: str, *, by: Person) -> None:
    """Take back that a bowl was begun, as when it spilled. Refused while it says when its gloss was gone."""
    locked_open(day.pk)
    if day.steps_done.filter(do=Tick.GLOSS, what=bowl).exists():
        raise NotPlanned(_("It is noted when the gloss of this bowl was gone. Take that back first."))
    take_back(day, Tick.MIXING, bowl, by=by)


@transaction.atomic
def note_bell(day: CastingDay, bowl: str, typed: str, *, by: Person, at: datetime) -> None:
    """Note what the gauge shows while a bowl is under vacuum, and whether that is the school's own number."""
    _labels(day, bowl)
    note(day, Tick.BELL, bowl, at=at, by=by, figures=read_gauge(day.course.school, typed))


@transaction.atomic
def note_gloss_gone(day: CastingDay, bowl: str, *, by: Person, at: datetime) -> None:
    """Note that the gloss of a bowl is gone, and after how long. Raises `NotPlanned` if that cannot be."""
    _labels(day, bowl)
    begun = day.done_at(Tick.MIXING)[Tick.MIXING].get(bowl)
    if begun is None:
        raise NotPlanned(_("Nobody noted when the powder of this bowl met the water. Note that first."))
    took = (at - begun) / timedelta(minutes=1)
    words = {"begun": on_clock_of(begun, day.course.school), "took": minutes(max(0, int(took)))}
    if not LEAST_MIN <= took <= MOST_MIN:
        sentence = _("The powder met the water on %(begun)s: %(took)s is no time for gloss. Correct what is wrong.")
        raise NotPlanned(sentence % words)
    # Down to a tenth: a mix is never taken to last longer than it did.
    note(day, Tick.GLOSS, bowl, at=at, by=by, figures={"min": math.floor(took * 10 + 1e-9) / 10})


@transaction.atomic
def take_gloss(day: CastingDay, bowl: str, *, by: Person) -> None:
    """Count on what was measured of a bowl in the day's next plan."""
    locked_open(day.pk)
    step = day.steps_done.filter(do=Tick.GLOSS, what=bowl).first()
    if step is None:
        raise NotPlanned(_("Nobody noted when the gloss of this bowl was gone. Note that first."))
    keep_measured_gloss(day, step.figures["min"], by=by)


@transaction.atomic
def fill_flasks(day: CastingDay, bowl: str, *, by: Person, at: datetime, as_planned: bool = False) -> None:
    """Note that the flasks of a bowl are filled, and so invested. Idempotent; raises what `fix_flask` raises."""
    labels = _labels(day, bowl)
    begun = day.done_at(Tick.MIXING)[Tick.MIXING].get(bowl)
    if begun is not None and is_before(at, begun):
        words = {"at": on_clock_of(at, day.course.school), "begun": on_clock_of(begun, day.course.school)}
        sentence = _("It cannot be filled on %(at)s: its powder met the water on %(begun)s. Correct what is wrong.")
        raise NotPlanned(sentence % words)
    states = day.states()
    for label in labels:
        if label not in states:
            fix_flask(day, label, Flask.State.INVESTED, by=by, as_planned=as_planned, invested_at=at)


@transaction.atomic
def undo_filled(day: CastingDay, bowl: str, *, by: Person) -> None:
    """Take back that the flasks of a bowl are invested. Idempotent; refused if one of them has gone on."""
    for label in _labels(day, bowl):
        if label in day.states():
            fix_flask(day, label, Flask.State.PLANNED, by=by)


def _bowls(day: CastingDay) -> dict[str, Mapping[str, Any]]:
    """The bowls of the last plan by the letters of their flasks."""
    last = Plan.objects.latest_of(day)
    return {JOINED.join(row["flasks"]): row for row in last.file["bowls"]} if last else {}


def _labels(day: CastingDay, bowl: str) -> list[str]:
    """The flasks of a bowl of the last plan."""
    locked_open(day.pk)
    labels = bowl.split(JOINED)
    # Flasks invested before a later plan have no bowl in it; they are still those that were filled together.
    if bowl not in _bowls(day) and not set(labels) <= day.states().keys():
        raise NotPlanned(_("The last plan mixes no such bowl. Look at the page again."))
    return labels


def _waiting(day: CastingDay, bowl: str) -> Mapping[str, Any]:
    """A bowl of the last plan; raise `NotPlanned` if every flask of it is invested."""
    if set(_labels(day, bowl)) <= day.states().keys():
        raise NotPlanned(_("The flasks of this bowl are invested."))
    return _bowls(day)[bowl]
