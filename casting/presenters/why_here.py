"""Why a wax stands in its flask, in words: what keeps it out of each other one, and what it would cost there."""

from __future__ import annotations

from django.utils.translation import gettext as _

from casting.calc.advice.why_here import WhyHere
from casting.calc.values.placed import Rule
from casting.presenters.carrying_words import Reader, bill_words, breach_words
from school.models import School


def why_words(why: WhyHere, tag: str, reader: Reader, school: School) -> tuple[str, ...]:
    """Return the sentences, what is certain first."""
    said = []
    if why.is_only_one:
        only = _("No other flask on the board takes it.") if why.kept_out else _("It is the only flask on the board.")
        said.append(only)
    for rule, found in why.kept_out:
        label, breach = found[0]
        if len(found) == 1:
            words = breach_words(breach, tag, label, reader)
            said.append(words if words.startswith(f"{label} ") else f"{label}: {words}")
        else:
            labels = ", ".join(label for label, _breach in found)
            said.append(_("Not into %(labels)s: %(why)s.") % {"labels": labels, "why": SHORTLY[rule]()})
    said += [
        _("%(label)s would take it: %(bill)s.") % _priced(label, bill_words(more, school))
        for label, more in why.elsewhere
    ]
    if why.no_spot:
        words = _("No spot was found while the others stay, which proves nothing: %(labels)s.")
        said.append(words % {"labels": ", ".join(why.no_spot)})
    return tuple(said)


def _priced(label: str, bill: str) -> dict[str, str]:
    return {"label": label, "bill": bill or _("at the same cost")}


SHORTLY = {
    Rule.FIXED: lambda: _("on the bench"),
    Rule.METAL: lambda: _("another metal"),
    Rule.OWNER: lambda: _("metal of another owner"),
    Rule.KIND: lambda: _("they burn out differently"),
    Rule.SECTIONS: lambda: _("thin with heavy"),
    Rule.HEIGHT: lambda: _("too low for it"),
    Rule.WIDTH: lambda: _("too narrow for it"),
    Rule.PLACES: lambda: _("as many waxes as they take"),
    Rule.CRUCIBLE: lambda: _("more than the crucible takes"),
    Rule.TORCH: lambda: _("more than one melt takes"),
    Rule.STOCK: lambda: _("no such flask is left"),
    Rule.KILN: lambda: _("no kiln and firing suits them"),
    Rule.STOPPED: lambda: _("it goes into no flask today"),
    Rule.NO_ROOM: lambda: _("no room, however the waxes are turned"),
}
"""The rules that keep a wax out of several flasks, in a few words each."""
