"""The metal of a flask: weighed out of the stock, weighed back piece by piece, settled with what is lost."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from casting.calc.quantities.account.balance import melts_most
from casting.dayfile.rules_file import rulebook
from casting.models import Account, AccountEntry, CastingDay, Transfer, Wax
from casting.presenters.account.words import where_of
from casting.presenters.formats import units_of, weighed_on
from casting.selectors.account.flasks import BookedFlask, PlannedFlask, booked_flasks, planned_flask
from casting.services.account import doubts
from casting.services.account.accounts import castings_account, flask_account, metal_account, own_account, pile
from casting.services.account.book import Document, Line, NotBooked, booked_before, lock_day, write
from school.models import Person

K, E, W = Account.Kind, AccountEntry.Kind, Transfer.What
ZERO = Decimal(0)
STOCK = {K.LOT: W.FRESH, K.BUTTONS: W.REUSED, K.SPRUES: W.REUSED, K.OWN: W.METAL}
"""What may go into a flask, and as what it counts."""


@dataclass(frozen=True, slots=True)
class Back:
    """What was weighed back of a flask [g]: castings by the wax's key, and the rest; None was not weighed."""

    castings_g: Mapping[int, Decimal] = field(default_factory=dict)
    button_g: Decimal | None = None
    sprues_g: Decimal | None = None
    sweeps_g: Decimal | None = None

    @property
    def rest(self) -> dict[str, Decimal]:
        """What is no casting, as far as it was weighed."""
        rest = {W.BUTTON: self.button_g, W.SPRUES: self.sprues_g, W.SWEEPS: self.sweeps_g}
        return {what: weight_g for what, weight_g in rest.items() if weight_g}


@transaction.atomic
def weigh_out(
    day: CastingDay,
    label: str,
    weights_g: Mapping[int, Decimal],
    *,
    by: Person,
    seen: str = "",
    note: str = "",
    key: uuid.UUID | None = None,
) -> AccountEntry:
    """Weigh metal out for a flask, from the accounts of these keys [g].

    Raises `NotBooked` with a sentence if the flask is not invested or settled, an account holds another metal or
    somebody else's, is melted too often or holds too little; `Doubted` if less than half is fresh or the whole is not
    what was planned, unless it was `seen`.
    """
    day = lock_day(day.pk)
    if before := booked_before(day.course.school, key):
        return before
    flask, booked = _open_flask(day, label)
    if flask.lost:
        sentence = _("Something went wrong with flask %(label)s, and it is not poured: weigh out nothing for it.")
        raise NotBooked(sentence % {"label": label})
    rows = Account.objects.filter(school=day.course.school, pk__in=weights_g).select_related("alloy", "lot", "student")
    accounts = {account.pk: account for account in rows}
    lines = []
    for account_id, weight_g in weights_g.items():
        account = accounts.get(account_id)
        if account is None:
            raise NotBooked(_("This metal is not in the stock of your school. Open the page again."))
        _refuse_metal(flask, account)
        if weight_g > 0:
            to = flask_account(day, label, flask.alloy)
            lines.append(Line(account, to, weight_g, STOCK[K(account.kind)]))
    if not lines:
        raise NotBooked(_("Nothing is weighed out: every box is empty. Write what the scale shows."))
    doubts.refuse_unless_seen(doubts.of_charge(flask, booked, lines), seen)
    return write(day.course.school, Document(kind=E.WEIGH_OUT, by=by, day=day, label=label, note=note, key=key), lines)


def _open_flask(day: CastingDay, label: str) -> tuple[PlannedFlask, BookedFlask]:
    """The flask as planned and as booked; refused unless it is on the bench and not settled."""
    flask = planned_flask(day, label)
    if flask is None:
        raise NotBooked(_("The plan has no flask %(label)s.") % {"label": label})
    if not flask.on_bench:
        sentence = _("Flask %(label)s is not invested yet, so its waxes may still change. Mark it as invested first.")
        raise NotBooked(sentence % {"label": label})
    booked = booked_flasks(day)[label]
    if booked.settled is not None:
        sentence = _("Flask %(label)s is settled. Take the settling back first, then weigh.")
        raise NotBooked(sentence % {"label": label})
    return flask, booked


def _refuse_metal(flask: PlannedFlask, account: Account) -> None:
    """Refuse what must not go into a flask: another metal, somebody else's, or what was melted too often."""
    words = {"where": where_of(account), "label": flask.label, "metal": flask.alloy.called}
    if account.alloy_id != flask.alloy.pk:
        other = account.alloy.called if account.alloy else ""
        sentence = _(
            "%(where)s holds %(other)s, and flask %(label)s is cast in %(metal)s. Put it back and take %(metal)s."
        )
        raise NotBooked(sentence % (words | {"other": other}))
    owner = account.student_id if account.kind == K.OWN else None
    if account.kind not in STOCK or owner != (flask.owner.pk if flask.owner else None):
        sentence = (
            _("Flask %(label)s is cast in the own metal of %(owner)s. Take nothing else for it.")
            if flask.owner
            else _("%(where)s is not for flask %(label)s, which is cast in the school's metal.")
        )
        raise NotBooked(sentence % (words | {"owner": flask.owner.called if flask.owner else ""}))
    most = melts_most(flask.alloy.composition_pct or {}, rulebook())
    if account.melts is not None and account.melts > most:
        sentence = _(
            "%(where)s: at most %(most)d melts are usual for %(metal)s. Keep it for the refiner and take fresher metal."
        )
        raise NotBooked(sentence % (words | {"most": most}))


@transaction.atomic
def weigh_back(
    day: CastingDay, label: str, back: Back, *, by: Person, seen: str = "", note: str = "", key: uuid.UUID | None = None
) -> AccountEntry:
    """Weigh castings, button, sprues and sweeps of a flask back; what is left in it can be weighed later.

    Raises `NotBooked` with a sentence if a wax is not of the flask or weighed already, or more comes back than went in;
    `Doubted` if a casting is heavier than its wax makes, unless it was `seen`.
    """
    day = lock_day(day.pk)
    if before := booked_before(day.course.school, key):
        return before
    flask, booked = _open_flask(day, label)
    waxes = {wax.pk: wax for wax in flask.waxes}
    for wax_id in back.castings_g:
        _refuse_wax(flask, booked, waxes.get(wax_id))
    castings = {waxes[wax_id]: weight_g for wax_id, weight_g in back.castings_g.items() if weight_g > 0}
    whole_g = sum([*castings.values(), *back.rest.values()], ZERO)
    if not whole_g:
        raise NotBooked(_("Nothing is weighed back: every box is empty. Write what the scale shows."))
    _refuse_more_than_in(flask, booked, whole_g)
    doubts.refuse_unless_seen(doubts.of_castings(flask, castings), seen)
    lines = _lines_back(day, flask, booked, castings, back.rest)
    return write(day.course.school, Document(kind=E.WEIGH_BACK, by=by, day=day, label=label, note=note, key=key), lines)


def _refuse_wax(flask: PlannedFlask, booked: BookedFlask, wax: Wax | None) -> None:
    if wax is None:
        raise NotBooked(_("This wax is not in flask %(label)s. Open the page again.") % {"label": flask.label})
    if weight_g := booked.cast_g.get(wax.pk):
        sentence = _("%(tag)s is weighed already: %(weight)s. Take that entry back first, then weigh it again.")
        raise NotBooked(sentence % {"tag": wax.tag, "weight": weighed_on(weight_g, units_of(flask.alloy.school))})


def _refuse_more_than_in(flask: PlannedFlask, booked: BookedFlask, whole_g: Decimal) -> None:
    """Refuse to weigh back more than is in the flask: no metal comes from nothing."""
    if whole_g <= booked.left_g:
        return
    units = units_of(flask.alloy.school)
    words = {"label": flask.label, "back": weighed_on(whole_g, units), "left": weighed_on(booked.left_g, units)}
    if booked.metal.charge_g == 0:
        sentence = _("Nothing is weighed out for flask %(label)s yet. Book its charge first, then what came back.")
        raise NotBooked(sentence % words)
    sentence = _(
        "%(back)s would come back of flask %(label)s, and only %(left)s are in it. Nothing is booked. Brush off the "
        "investment, look at the tare and weigh again; or the charge was written wrongly."
    )
    raise NotBooked(" ".join(one for one in (sentence % words, doubts.slip_of(whole_g, booked.left_g)) if one))


def _lines_back(
    day: CastingDay,
    flask: PlannedFlask,
    booked: BookedFlask,
    castings: Mapping[Wax, Decimal],
    rest: Mapping[str, Decimal],
) -> list[Line]:
    """The transfers of a weigh-back: own metal goes back to its owner to the last gram, the school's to its bags."""
    school, giver = day.course.school, flask_account(day, flask.label, flask.alloy)
    lines = [
        Line(giver, castings_account(wax.student, flask.alloy), weight_g, W.CASTING, wax)
        for wax, weight_g in castings.items()
    ]
    for what, weight_g in rest.items():
        if flask.owner is not None:
            taker = own_account(flask.owner, flask.alloy)
        elif what == W.SWEEPS:
            taker = metal_account(school, K.SWEEPS, flask.alloy)
        else:
            kind = K.BUTTONS if what == W.BUTTON else K.SPRUES
            taker = pile(school, kind, flask.alloy, booked.melts)
        lines.append(Line(giver, taker, weight_g, what))
    return lines


@transaction.atomic
def settle(
    day: CastingDay,
    label: str,
    *,
    by: Person,
    not_cast: Iterable[str] = (),
    seen: str = "",
    note: str = "",
    key: uuid.UUID | None = None,
) -> AccountEntry:
    """Settle a flask: what is left of its metal is lost, and the waxes of the tags `not_cast` did not come out.

    Raises `NotBooked` with a sentence if nothing was weighed out, or a wax is neither weighed nor said not to have come
    out: blank is not zero. `Doubted` if the loss is above what is usual for the alloy, unless it was `seen`.
    """
    day = lock_day(day.pk)
    if before := booked_before(day.course.school, key):
        return before
    flask, booked = _open_flask(day, label)
    if booked.metal.charge_g == 0:
        sentence = _("Nothing is weighed out for flask %(label)s, so there is nothing to settle.")
        raise NotBooked(sentence % {"label": label})
    missing = sorted(wax.tag for wax in flask.waxes if not booked.cast_g.get(wax.pk) and wax.tag not in set(not_cast))
    if missing:
        sentence = _("Not weighed yet: %(tags)s. Weigh each casting, or tick that it did not come out.")
        raise NotBooked(sentence % {"tags": ", ".join(missing)})
    gone = sorted(wax.tag for wax in flask.waxes if not booked.cast_g.get(wax.pk))
    doubts.refuse_unless_seen(doubts.of_loss(flask, booked), seen)
    lines = []
    if booked.left_g > 0:
        giver = flask_account(day, label, flask.alloy)
        taker = metal_account(day.course.school, K.LOSS, flask.alloy)
        lines.append(Line(giver, taker, booked.left_g, W.LOSS))
    document = Document(kind=E.SETTLED, by=by, day=day, label=label, note=note, key=key, details={"not_cast": gone})
    return write(day.course.school, document, lines)
