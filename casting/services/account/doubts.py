"""What is asked about before metal of a flask is booked: figures that can be and mostly are not."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from decimal import Decimal

from django.utils.translation import gettext as _

from casting.calc.quantities.account.balance import fresh_pct, loss_most_pct, read_in_other_unit
from casting.dayfile.rules_file import rulebook
from casting.models import Transfer, Wax
from casting.presenters.formats import decimals, plain, units_of, weighed_on
from casting.selectors.account.flasks import BookedFlask, PlannedFlask
from casting.services.account.book import Doubted, Line

W = Transfer.What


def of_charge(flask: PlannedFlask, booked: BookedFlask, lines: Sequence[Line]) -> list[str]:
    """Return what speaks against a weigh-out, together with what was weighed out before it."""
    weights = {what: booked.weights[what] for what in (W.FRESH, W.REUSED, W.METAL)}
    for line in lines:
        weights[W(line.what)] += line.amount
    whole_g, least = sum(weights.values(), Decimal(0)), rulebook().limit("fresh_least_pct")
    units = units_of(flask.alloy.school)
    words = {"label": flask.label, "weighed": weighed_on(whole_g, units), "planned": weighed_on(flask.charge_g, units)}
    said = []
    if flask.owner is None and (share := fresh_pct(weights[W.FRESH], weights[W.REUSED])) < Decimal(str(least)):
        sentence = _("%(share)s %% of flask %(label)s is fresh metal, and at least %(least)s %% is usual.")
        said.append(sentence % (words | {"share": decimals(share, 1), "least": plain(least)}))
    off_pct = 100 * abs(whole_g - flask.charge_g) / flask.charge_g
    if slip := slip_of(whole_g, flask.charge_g):
        sentence = _("%(weighed)s are weighed out for flask %(label)s, and %(planned)s are planned. %(slip)s")
        said.append(sentence % (words | {"slip": slip}))
    elif off_pct > Decimal(str(rulebook().limit("weighed_off_pct"))):
        said.append(_("%(weighed)s are weighed out for flask %(label)s, and %(planned)s are planned.") % words)
    return said


def slip_of(weighed_g: Decimal, expected_g: Decimal) -> str:
    """Return a question if a weight looks as if it was read in another unit."""
    asked = {
        "dwt": _("Is it written in grams and was read in pennyweights?"),
        "g": _("Is it written in pennyweights and was read in grams?"),
    }
    return asked.get(read_in_other_unit(weighed_g, expected_g, rulebook()), "")


def refuse_unless_seen(said: Sequence[str], seen: str) -> None:
    """Raise `Doubted` unless just these doubts were seen."""
    if not said:
        return
    mark = hashlib.sha256("\n".join(said).encode()).hexdigest()[:16]
    if mark != seen:
        raise Doubted(" ".join([*said, _("Weigh again, or book it as it is.")]), mark)


def of_castings(flask: PlannedFlask, castings: Mapping[Wax, Decimal]) -> list[str]:
    """Return what speaks against the weight of a casting: cut off its sprue, it weighs less than its wax makes."""
    off, units, said = Decimal(str(rulebook().limit("weighed_off_pct"))), units_of(flask.alloy.school), []
    for wax, weight_g in castings.items():
        planned_g = flask.metal_g.get(wax.tag)
        if planned_g is not None and weight_g > planned_g * (100 + off) / 100:
            words = {"tag": wax.tag, "cast": weighed_on(weight_g, units), "planned": weighed_on(planned_g, units)}
            sentence = _("%(tag)s weighs %(cast)s, and its wax makes %(planned)s with the sprue. Is it another's?")
            said.append(f"{sentence % words} {slip_of(weight_g, planned_g)}".strip())
    return said


def of_loss(flask: PlannedFlask, booked: BookedFlask) -> list[str]:
    """Return what speaks against a loss: it is above what is usual, so metal lies somewhere or was read wrongly."""
    metal = booked.metal
    most = loss_most_pct(flask.alloy.composition_pct or {}, rulebook())
    if metal.left_pct <= most:
        return []
    words = {
        "left": weighed_on(metal.left_g, units_of(flask.alloy.school)),
        "charge": weighed_on(metal.charge_g, units_of(flask.alloy.school)),
        "label": flask.label,
        "pct": decimals(metal.left_pct, 1),
        "most": plain(most),
        "metal": flask.alloy.called,
    }
    sentence = _(
        "%(left)s of %(charge)s are not weighed back of flask %(label)s: %(pct)s %%. Up to %(most)s %% is usual for "
        "%(metal)s. Look at the pour, the crucible and the floor, and whether all sprues are weighed."
    )
    return [f"{sentence % words} {slip_of(metal.back_g, metal.charge_g)}".strip()]
