"""Why a flask or a spot takes a wax or not, in words: the measured figure, the limit and the other wax named."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from casting.calc.advice.carrying import Bill
from casting.calc.values.placed import Breach, Rule
from casting.models import Wax
from casting.presenters.formats import SchoolUnits, decimals, money, other_weight, rounded, to_weigh, units_of
from casting.presenters.lengths import length, length_down, length_up
from school.models import School

TOO_MUCH = ("height", "width", "reach", "alone", "trunk_far", "stack")
"""Rules of lengths with a most."""
TOO_LITTLE = ("gap", "wall", "path", "trunk_near")
"""Rules of lengths with a least."""
MINUS = "\u2212"
KINDS = {"wax": gettext_lazy("wax"), "resin": gettext_lazy("resin"), "stones": gettext_lazy("a wax with stones")}
SECTIONS = {key.value: words for key, words in Wax.SECTION_WORDS.items()}


class Reader(Protocol):
    """Whom a board's words are for: what its metals are called, by key, and the school's units."""

    @property
    def metals(self) -> Mapping[str, str]:
        """The metals."""
        ...

    @property
    def units(self) -> SchoolUnits:
        """The units."""
        ...


def breach_words(breach: Breach, tag: str, label: str, reader: Reader) -> str:
    """Return why a flask refuses a wax, or a spot does."""
    given = {
        "tag": tag,
        "label": label or _("it"),
        "other": breach.key if breach.other == tag else breach.other,
        "has": _figure(breach.rule, breach.has, reader.units),
        "limit": _limit(breach.rule, breach.limit, reader.units),
        "mine": _named(breach.mine, reader.metals),
        "theirs": _named(breach.theirs, reader.metals),
    }
    if breach.rule is Rule.PATH:  # whichever of the two is in hand, one stands in the other's way
        given |= {"other": breach.other, "mine": breach.key}
    return SENTENCES[str(breach.rule)]() % given


def in_one_line(breaches: Sequence[Breach], tag: str, label: str, reader: Reader) -> str:
    """Return all breaches as one line."""
    return " ".join(breach_words(one, tag, label, reader) for one in breaches)


def _named(key: str, metals: Mapping[str, str]) -> str:
    return metals.get(key) or str(SECTIONS.get(key) or KINDS.get(key) or key)


def _figure(rule: str, has: float | None, units: SchoolUnits) -> str:
    if has is None:
        return ""
    if rule in TOO_MUCH:
        return length_up(has, units)
    if rule in TOO_LITTLE:
        return length_down(has, units)
    return to_weigh(has) if rule in ("crucible", "torch") else str(round(has))


def _limit(rule: str, limit: float | None, units: SchoolUnits) -> str:
    if limit is None:
        return ""
    if rule in TOO_MUCH or rule in TOO_LITTLE:
        return length(rounded(limit, 1), units)
    return str(round(limit)) if abs(limit - round(limit)) < 1e-9 else decimals(limit, 1)


def bill_words(more: Bill | None, school: School) -> str:
    """Return what the day needs more or less if the wax is put there: powder, metal of buttons, money."""
    if more is None:
        return ""
    parts = [
        _("%(by)s g powder") % {"by": _signed(round(more.powder_g), 0)} if round(more.powder_g) else "",
        _("%(by)s button") % {"by": _signed_weight(more.button_g, units_of(school))}
        if abs(more.button_g) >= 0.05
        else "",
        _signed_money(more.cost, school) if abs(more.cost) >= 0.005 else "",
    ]
    return ", ".join(part for part in parts if part)


def _signed(value: float, places: int) -> str:
    return f"{'+' if value > 0 else MINUS}{decimals(abs(value), places)}"


def _signed_weight(weight_g: float, units: SchoolUnits) -> str:
    """A weight more or less on the school's own scale."""
    other = other_weight(abs(weight_g), units)
    return f"{'+' if weight_g > 0 else MINUS}{other or f'{decimals(abs(weight_g), 1)} g'}"


def _signed_money(amount: float, school: School) -> str:
    return f"{'+' if amount > 0 else MINUS}{money(abs(amount), school)}"


SENTENCES = {
    "fixed": lambda: _("%(label)s is on the bench and stays as it is."),
    "metal": lambda: _("%(label)s is %(theirs)s, %(tag)s is %(mine)s."),
    "owner": lambda: _("%(label)s and %(tag)s are of different owners' metal."),
    "kind": lambda: _("%(label)s and %(tag)s are of different material: %(theirs)s, %(mine)s."),
    "sections": lambda: _("%(mine)s with %(theirs)s (%(other)s): %(has)s steps apart, %(limit)s at most."),
    "height": lambda: _("%(tag)s needs a flask %(has)s high; %(label)s is %(limit)s."),
    "width": lambda: _("%(tag)s is %(has)s from corner to corner; %(label)s has %(limit)s."),
    "places": lambda: _("%(has)s waxes with %(tag)s; %(label)s takes %(limit)s."),
    "crucible": lambda: _("Charge %(has)s g, the crucible takes %(limit)s."),
    "torch": lambda: _("Charge %(has)s g, the torch melts %(limit)s."),
    "stock": lambda: _("All %(limit)s flasks of this size are in use."),
    "kiln": lambda: _("No kiln has room for it."),
    "stopped": lambda: _("A STOP holds %(tag)s back."),
    "no_room": lambda: _("%(label)s has no room for %(tag)s, however the waxes are turned."),
    "gap": lambda: _("%(has)s from %(other)s; %(limit)s is needed."),
    "wall": lambda: _("%(has)s from the wall; %(limit)s is needed."),
    "reach": lambda: _("Its foot is %(has)s from the axis; the cone feeds to %(limit)s."),
    "path": lambda: _("%(other)s stands in the way of the metal to %(mine)s: %(has)s, %(limit)s is needed."),
    "alone": lambda: _("Alone in a flask it stands in the middle, not %(has)s off."),
    "trunk_near": lambda: _("%(has)s from the trunk; %(limit)s is needed."),
    "trunk_far": lambda: _("%(has)s from the trunk; %(limit)s at most."),
    "tier": lambda: _("The tiers of this tree do not take it there."),
    "stack": lambda: _("The tiers would reach %(has)s up the flask; %(limit)s leaves enough cover."),
}
"""By the rule that is broken."""
