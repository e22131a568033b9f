"""Why a flask or a spot takes a wax or not, in words: the measured figure, the limit and the other wax named."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from casting.calc.advice.carrying import Bill
from casting.calc.values.placed import Breach
from casting.models import Wax
from casting.presenters.formats import decimals, decimals_down, decimals_up, money, to_weigh
from school.models import School

TOO_MUCH = ("height", "width", "reach", "alone", "trunk_far")
"""Rules with a most; the others that measure have a least."""
MINUS = "\u2212"
KINDS = {"wax": gettext_lazy("wax"), "resin": gettext_lazy("resin"), "stones": gettext_lazy("a wax with stones")}
SECTIONS = {key.value: words for key, words in Wax.SECTION_WORDS.items()}


def breach_words(breach: Breach, tag: str, label: str, metals: Mapping[str, str]) -> str:
    """Return why a flask refuses a wax, or a spot does; `metals` are the names of alloys by key."""
    given = {
        "tag": tag,
        "label": label or _("it"),
        "other": breach.key if breach.other == tag else breach.other,
        "has": _figure(breach.rule, breach.has),
        "limit": _limit(breach.limit),
        "mine": _named(breach.mine, metals),
        "theirs": _named(breach.theirs, metals),
    }
    return SENTENCES[str(breach.rule)]() % given


def in_one_line(breaches: Sequence[Breach], tag: str, label: str, metals: Mapping[str, str]) -> str:
    """Return all breaches as one line."""
    return " ".join(breach_words(one, tag, label, metals) for one in breaches)


def _named(key: str, metals: Mapping[str, str]) -> str:
    return metals.get(key) or str(SECTIONS.get(key) or KINDS.get(key) or key)


def _figure(rule: str, has: float | None) -> str:
    if has is None:
        return ""
    if rule in ("crucible", "torch"):
        return to_weigh(has)
    if rule in ("places", "sections", "stock"):
        return str(round(has))
    return decimals_up(has, 1) if rule in TOO_MUCH else decimals_down(has, 1)


def _limit(limit: float | None) -> str:
    if limit is None:
        return ""
    return str(round(limit)) if abs(limit - round(limit)) < 1e-9 else decimals(limit, 1)


def bill_words(more: Bill | None, school: School) -> str:
    """Return what the day needs more or less if the wax is put there: powder, metal of buttons, money."""
    if more is None:
        return ""
    parts = [
        _("%(by)s g powder") % {"by": _signed(round(more.powder_g), 0)} if round(more.powder_g) else "",
        _("%(by)s g button") % {"by": _signed(more.button_g, 1)} if abs(more.button_g) >= 0.05 else "",
        _signed_money(more.cost, school) if abs(more.cost) >= 0.005 else "",
    ]
    return ", ".join(part for part in parts if part)


def _signed(value: float, places: int) -> str:
    return f"{'+' if value > 0 else MINUS}{decimals(abs(value), places)}"


def _signed_money(amount: float, school: School) -> str:
    return f"{'+' if amount > 0 else MINUS}{money(abs(amount), school)}"


SENTENCES = {
    "fixed": lambda: _("%(label)s is on the bench and stays as it is."),
    "metal": lambda: _("%(label)s is %(theirs)s, %(tag)s is %(mine)s."),
    "owner": lambda: _("%(label)s and %(tag)s are of different owners' metal."),
    "kind": lambda: _("%(label)s and %(tag)s are of different material: %(theirs)s, %(mine)s."),
    "sections": lambda: _("%(mine)s with %(theirs)s (%(other)s): %(has)s steps apart, %(limit)s at most."),
    "height": lambda: _("%(tag)s needs a flask %(has)s mm high; %(label)s is %(limit)s mm."),
    "width": lambda: _("%(tag)s is %(has)s mm from corner to corner; %(label)s has %(limit)s mm."),
    "places": lambda: _("%(has)s waxes with %(tag)s; %(label)s takes %(limit)s."),
    "crucible": lambda: _("Charge %(has)s g, the crucible takes %(limit)s."),
    "torch": lambda: _("Charge %(has)s g, the torch melts %(limit)s."),
    "stock": lambda: _("All %(limit)s flasks of this size are in use."),
    "kiln": lambda: _("No kiln has room for it."),
    "stopped": lambda: _("A STOP holds %(tag)s back."),
    "no_room": lambda: _("%(label)s has no room for %(tag)s, however the waxes are turned."),
    "gap": lambda: _("%(has)s mm from %(other)s; %(limit)s mm is needed."),
    "wall": lambda: _("%(has)s mm from the wall; %(limit)s mm is needed."),
    "reach": lambda: _("Its foot is %(has)s mm from the axis; the cone feeds to %(limit)s mm."),
    "path": lambda: _("%(other)s stands in the way of the metal to %(mine)s: %(has)s mm, %(limit)s mm is needed."),
    "alone": lambda: _("Alone in a flask it stands in the middle, not %(has)s mm off."),
    "trunk_near": lambda: _("%(has)s mm from the trunk; %(limit)s mm is needed."),
    "trunk_far": lambda: _("%(has)s mm from the trunk; %(limit)s mm at most."),
    "tier": lambda: _("The tiers of this tree do not take it there."),
}
"""By the rule that is broken."""
