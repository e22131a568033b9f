"""A finished base is weighed before it is invested: its wax as mounted rules the charge of its flask."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from casting.calc.quantities.charge import charge_limit, fits_crucible
from casting.calc.quantities.mounted import base_slip
from casting.calc.values.day_input import DayInput
from casting.calc.values.enums import Tick
from casting.dayfile import read_kept
from casting.models import CastingDay, Plan, RubberBase
from casting.models.account import SMALLEST
from casting.models.errors import NotPlanned
from casting.presenters.formats import decimals, plain, to_weigh_on, units_of, weighed_on
from casting.selectors.mounted import MountedCharge, WeighedBase, charge_mounted
from casting.services.day_shut import locked_open
from casting.services.running.noting import note, take_back
from casting.units import NotUnderstood, grams, read_number
from school.models import Person, School

ASKED = {
    "dwt": gettext_lazy("Was the scale on pennyweights, and is it written as grams?"),
    "g": gettext_lazy("Was the scale on grams, and is it written as pennyweights?"),
}


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed at the scale: the finished base, and of the base alone its number or its weight."""

    gross: str
    number: str = ""
    base: str = ""


class MountDoubted(NotPlanned):
    """The base of the flask of `label` is some way from its slips; whoever weighed it says that it is right."""

    def __init__(self, sentence: str, label: str) -> None:
        self.label = label
        super().__init__(sentence)


@transaction.atomic
def note_weighed(day: CastingDay, label: str, typed: Typed, *, by: Person, at: datetime, sure: bool = False) -> None:
    """Note what the finished base of a flask weighs.

    Raises `NotPlanned` with a sentence if it cannot be so, `MountDoubted` if it is some way from its slips, unless
    `sure`.
    """
    locked_open(day.pk)
    row, values = _planned(day, label)
    if label in day.states():
        raise NotPlanned(
            _("Flask %(label)s is invested. Its base can no longer be weighed: undo that first.") % {"label": label}
        )
    gross_g, base_g = _weights(typed, day.course.school)
    base = WeighedBase(gross_g, base_g, typed.number.strip(), frozenset(wax["key"] for wax in row["waxes"]))
    mounted = charge_mounted(row, values, base)
    _refuse_if_no_wax(day, label, mounted, values)
    _refuse_if_far_off(day, label, mounted, values)
    if not sure:
        _ask_if_off(day, label, mounted, values)
    _refuse_if_no_melt_holds_it(day, label, mounted, row, values)
    note(day, Tick.WEIGHED, label, at=at, by=by, figures=base.as_json())


@transaction.atomic
def undo_weighed(day: CastingDay, label: str, *, by: Person) -> None:
    """Take back what a finished base weighs: the slips rule its charge again. Refused once it is invested."""
    locked_open(day.pk)
    if label in day.states():
        sentence = _("Flask %(label)s is invested, and its charge stays. Undo that first, on the page Flasks.")
        raise NotPlanned(sentence % {"label": label})
    take_back(day, Tick.WEIGHED, label, by=by)


def _planned(day: CastingDay, label: str) -> tuple[Mapping[str, Any], DayInput]:
    """The flask's row in the last plan, and the day of that plan."""
    last = Plan.objects.latest_of(day)
    row = next((one for one in last.file["flasks"] if one["label"] == label), None) if last else None
    if last is None or row is None:
        raise NotPlanned(_("The last plan has no flask %(label)s.") % {"label": label[:3]})
    return row, read_kept(last.day_file).day


def _weights(typed: Typed, school: School) -> tuple[Decimal, Decimal]:
    """The finished base and the base alone, in g, as typed on the school's scale."""
    unit, number = units_of(school).weight, typed.number.strip()
    try:
        gross_g = grams(read_number(typed.gross, unit), unit).quantize(SMALLEST)
        if number and typed.base.strip():
            raise NotPlanned(_("Write the number of the base or what it weighs, not both."))
        if number:
            base = RubberBase.objects.filter(school=school, number__iexact=number).first()
            if base is None:
                sentence = _("The school has no base %(number)s. Write what the base alone weighs.")
                raise NotPlanned(sentence % {"number": number[:6]})
            return gross_g, base.weight_g
        if not typed.base.strip():
            raise NotPlanned(_("Write the number of the base, or what it weighs alone."))
        return gross_g, grams(read_number(typed.base, unit), unit).quantize(SMALLEST)
    except NotUnderstood as wrong:
        raise NotPlanned(wrong.sentence) from wrong


def _said(day: CastingDay, **weights_g: Decimal | float) -> dict[str, str]:
    """Weights as the school's scale shows them."""
    units = units_of(day.course.school)
    return {name: weighed_on(Decimal(str(round(weight_g, 4))), units) for name, weight_g in weights_g.items()}


def _words(day: CastingDay, label: str, mounted: MountedCharge, values: DayInput) -> dict[str, str]:
    """What is said of a base that is off its slips; `slip` asks about its unit if that would explain it."""
    base, wax = mounted.base, mounted.wax
    unit = base_slip(float(base.gross_g), float(base.base_g), wax.expected_g, values.rulebook)
    slip = str(ASKED.get(unit, ""))
    how = _("%(pct)s %% more") if wax.off_pct > 0 else _("%(pct)s %% less")
    figures = _said(day, wax=base.wax_g, expected=wax.expected_g)
    return figures | {"label": label, "off": how % {"pct": decimals(abs(wax.off_pct), 1)}, "slip": slip}


def _refuse_if_no_wax(day: CastingDay, label: str, mounted: MountedCharge, values: DayInput) -> None:
    base = mounted.base
    if base.wax_g > 0:
        return
    sentence = _(
        "The finished base of flask %(label)s weighs %(gross)s, and the base alone %(base)s: that leaves no wax. "
        "%(slip)s Weigh both again."
    )
    weights = _said(day, gross=base.gross_g, base=base.base_g)
    raise NotPlanned(_in_one(sentence % (_words(day, label, mounted, values) | weights)))


def _in_one(sentence: str) -> str:
    """A sentence without the gap of a part that is empty."""
    return sentence.replace("  ", " ")


def _refuse_if_far_off(day: CastingDay, label: str, mounted: MountedCharge, values: DayInput) -> None:
    most = values.rulebook.limit("mounted_stops_pct")
    if abs(mounted.wax.off_pct) <= most:
        return
    sentence = _(
        "The base of flask %(label)s holds %(wax)s of wax, and its slips say %(expected)s: %(off)s. Over %(most)s %% "
        "is another base, another wax or a slip. %(slip)s Look which waxes stand on it, then weigh it again; or "
        "correct a wax on the page Waxes and make the plan again."
    )
    raise NotPlanned(_in_one(sentence % (_words(day, label, mounted, values) | {"most": plain(most)})))


def _ask_if_off(day: CastingDay, label: str, mounted: MountedCharge, values: DayInput) -> None:
    if abs(mounted.wax.off_pct) <= values.rulebook.limit("mounted_asks_pct"):
        return
    sentence = _(
        "The base of flask %(label)s holds %(wax)s of wax, and its slips say %(expected)s: %(off)s. %(slip)s Weigh it "
        "again, or say that it is right: the charge then follows from it."
    )
    raise MountDoubted(_in_one(sentence % _words(day, label, mounted, values)), label)


def _refuse_if_no_melt_holds_it(
    day: CastingDay, label: str, mounted: MountedCharge, row: Mapping[str, Any], values: DayInput
) -> None:
    alloy, units = values.alloys[row["alloy"]], units_of(day.course.school)
    if fits_crucible(mounted.charge_g, alloy, values.rules):
        return
    limit_g = charge_limit(alloy, values.rules)
    words = {"charge": to_weigh_on(mounted.charge_g, units), "limit": to_weigh_on(limit_g, units)}
    sentence = _(
        "Flask %(label)s would take %(charge)s of metal as it was weighed, and one melt holds %(limit)s. Take a wax "
        "off the base, on the board too, or use a larger crucible and make the plan again."
    )
    raise NotPlanned(sentence % ({"label": label} | words))
