"""A student's own waxes by casting day, as the phone lists them, and whether anything of it is new."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from decimal import Decimal
from hashlib import blake2s

from django.db.models import Max, prefetch_related_objects
from django.utils.timezone import now

from casting.calc.quantities.account.bill import Prices
from casting.calc.values.errors import Refused
from casting.models import AccountEntry, BenchChange, CastingDay, Flask, Plan, Wax
from casting.models.errors import NotPlanned
from casting.presenters.account.bills import NOTHING_BOOKED, OwnAccount, ShownBill, own_account
from casting.presenters.changes import Change
from casting.presenters.followed import NOTHING, Followed, following_of
from casting.presenters.metal_choices import MetalChoice, metal_choices
from casting.presenters.piece_price import PiecePrice, PiecePrices, on_the_bill
from casting.presenters.plan_sheet import LeftOutLine
from casting.presenters.recast import told_student, without_new_wax
from casting.presenters.wax_history import by_teachers
from casting.presenters.wax_preview import WaxAnswer, answers_for
from casting.selectors.kept_shelf import KeptShelf, shelf_at, with_shelf
from school.models import Student

UNDER_WAY = timedelta(days=1)
"""So near its first pour a day can be late."""
A_WHILE_S = 300
"""How old a time on an open page may be [s] while nobody notes anything."""


@dataclass(frozen=True, slots=True)
class ListedWax:
    """A wax with all that is known of it: the answer before a plan, its flask after, changes, other metals."""

    wax: Wax
    answer: WaxAnswer | None
    followed: Followed | None
    left_out: LeftOutLine | None
    changed_since: bool
    changes: Sequence[Change]
    choices: Sequence[MetalChoice]
    cast_g: Decimal | None = None
    """What its casting weighs, once it is weighed back."""
    cast_price: PiecePrice | None = None
    """What that comes to, by the prices that bills are made by."""
    billed: bool = False
    """Whether the bill of its day is made."""

    @property
    def metal_g(self) -> float | None:
        """The metal it takes, no button; None if its metal is offered no more and the shelf cannot be read."""
        if self.followed:
            return self.followed.found.on_base.metal_g
        if self._chosen:
            return self._chosen.metal_g
        return self.answer.metal_g if self.answer else None

    @property
    def price(self) -> PiecePrice | None:
        """What it costs; None without a price, once it did not come out, and where the bill says it."""
        if self.billed or self.went_wrong:
            return None
        if self.cast_price:
            return self.cast_price
        if self.followed:
            return self.followed.found.price
        return self._chosen.price if self._chosen else None

    @property
    def _chosen(self) -> MetalChoice | None:
        return next((one for one in self.choices if one.alloy.pk == self.wax.alloy_id), None)

    @property
    def in_other_metals(self) -> Sequence[MetalChoice]:
        """The metals that its student may weigh up; none of one's own, or where there is no other."""
        return () if self.wax.own_metal or len(self.choices) < 2 else self.choices

    @property
    def shown_unit(self) -> str:
        """The unit that its weight was typed in, where that is the wax's own weight: no base was subtracted from it."""
        return "" if self.wax.base_entered else self.wax.entered_unit

    @property
    def went_wrong(self) -> str:
        """What its student reads if something went wrong with it; empty if nothing did, or it will do."""
        return told_student(self.wax.again) if self.wax.again else ""

    @property
    def stays(self) -> bool:
        """Whether its flask is invested, so that nobody can change it."""
        return self.followed is not None and not self.followed.may_move


@dataclass(frozen=True, slots=True)
class ListedDay:
    """A casting day with the student's waxes, the newest first."""

    day: CastingDay
    open: bool
    waxes: Sequence[ListedWax]
    bill: ShownBill | None = None
    on_the_bill: str = ""
    """What a student has to know of prices that bills are made by; empty where the school keeps none."""
    places: Sequence[Wax] = ()
    """The student's pieces that are cast again on this day and have no new wax yet."""

    brief: bool = False
    """Whether it is told in a line: another day stands first, and this one has nothing of the student."""

    @property
    def is_near(self) -> bool:
        """Whether it is the day of some piece, still to come or under way."""
        standing = any(one.wax.withdrawn_at is None for one in self.waxes)
        return (standing or bool(self.places)) and not self.day.why_shut and now() < self.day.pour_at + UNDER_WAY

    @property
    def is_planned(self) -> bool:
        """Whether a plan says where a wax goes."""
        return any(one.followed or one.left_out for one in self.waxes)


def days_of(student: Student) -> list[CastingDay]:
    """Return the days of the student's class: the open ones first, the next to pour on top. One query."""
    days = list(student.course.casting_days.order_by("pour_at", "pk"))
    closed = [day for day in days if not day.hand_in_open()]
    return [day for day in days if day not in closed] + closed[::-1]


def waxes_of(student: Student) -> list[Wax]:
    """Return the student's waxes, the newest first. One query."""
    rows = Wax.objects.for_student(student).select_related(None).select_related("recast").with_photo_keys()
    waxes = list(rows.order_by("-pk"))
    for wax in waxes:
        wax.student = student
    return waxes


@dataclass(frozen=True, slots=True)
class Written:
    """What others have written of days: the last plan, entry and change on the bench of each that has one; flasks."""

    plans: Mapping[int, int]
    entries: Mapping[int, int]
    flasks: Sequence[tuple[int, str, str]]
    changes: Mapping[int, int]


def written_of(days: Sequence[CastingDay]) -> Written:
    """Return what others have written of days. Four queries."""
    of_days = {"day__in": [day.pk for day in days]}
    plans = Plan.objects.filter(**of_days).values_list("day").annotate(Max("revision")).order_by()
    entries = AccountEntry.objects.filter(**of_days).values_list("day").annotate(Max("pk")).order_by()
    changes = BenchChange.objects.filter(**of_days).values_list("day").annotate(Max("pk")).order_by()
    return Written(
        dict(sorted(plans)),
        dict(sorted(entries)),
        sorted(Flask.objects.filter(**of_days).values_list("day", "label", "state")),
        dict(sorted(changes)),
    )


def mark_of(days: Sequence[CastingDay], waxes: Sequence[Wax], written: Written) -> str:
    """Return a mark that is another one as soon as anything that the list shows is another."""
    parts = [
        [(day.pk, day.version, day.hand_in_open(), day.pour_at, day.why_shut) for day in days],
        {day.course.school.known_by for day in days},
        [(wax.pk, wax.version, wax.withdrawn_at, wax.photo_key, wax.again and wax.again.version) for wax in waxes],
        written,
        [_moment(day, written) for day in days],
    ]
    return blake2s(repr(parts).encode(), digest_size=8).hexdigest()


def _moment(day: CastingDay, written: Written) -> int | None:
    """While flasks of a day are still to pour a late one gets later by itself: the few minutes that it is now."""
    states = [state for of_day, _label, state in written.flasks if of_day == day.pk]
    at_now = now()
    if day.pk not in written.plans or abs(at_now - day.pour_at) > UNDER_WAY or {*states} == {Flask.State.POURED}:
        return None
    return int(at_now.timestamp()) // A_WHILE_S


def listed(student: Student, days: Sequence[CastingDay], waxes: Sequence[Wax], written: Written) -> list[ListedDay]:
    """Return the days with the student's waxes and all that is known of each, the day of a piece to come first.

    Nothing is asked of what nobody wrote.
    """
    waxes = with_shelf(waxes, student.school)
    prefetch_related_objects([wax.again for wax in waxes if wax.again], "mishap", "next_day__course__school")
    told = by_teachers(waxes, student.school)
    own = own_account(student, [day for day in days if day.pk in written.entries])
    places = without_new_wax(waxes)
    found = [
        replace(
            _listed(day, [wax for wax in waxes if wax.day_id == day.pk], told, own, day.pk in written.plans),
            places=[wax for wax in places if wax.again and wax.again.next_day_id == day.pk],
        )
        for day in days
    ]
    near = sorted((one for one in found if one.is_near), key=lambda one: one.day.pour_at)
    ordered = near + [one for one in found if not one.is_near]
    return [replace(one, brief=nth > 0 and not (one.waxes or one.places)) for nth, one in enumerate(ordered)]


def listed_of(day: CastingDay, waxes: list[Wax]) -> Sequence[ListedWax]:
    """Return waxes of one day with all that is known of each but what teachers changed."""
    return _listed(day, waxes, {}, NOTHING_BOOKED, planned=True).waxes


def _listed(
    day: CastingDay, waxes: list[Wax], told: Mapping[int, Sequence[Change]], own: OwnAccount, planned: bool
) -> ListedDay:
    """The day's waxes; `planned` is whether it may have a plan."""
    standing = {wax.tag: wax.what for wax in waxes if wax.withdrawn_at is None}
    plan = following_of(day, standing) if planned and day.cancelled_at is None else NOTHING
    known = plan.in_flask.keys() | plan.left_out.keys()
    open_now, shelf = day.hand_in_open(), shelf_at(day.course.school)
    answers = _answers(day, waxes) if open_now or not standing.keys() <= known else {}
    rows = [
        ListedWax(
            wax,
            answers.get(wax.tag),
            plan.in_flask.get(wax.tag),
            plan.left_out.get(wax.tag),
            wax.tag in plan.changed,
            told.get(wax.pk, ()),
            _choices(day, wax, shelf),
            own.cast_g.get(wax.pk),
            _cast_price(wax, own.cast_g.get(wax.pk), shelf.prices),
            day.pk in own.bills,
        )
        for wax in waxes
    ]
    words = on_the_bill(shelf.prices, day.course.school) if shelf.prices and standing else ""
    return ListedDay(day, open_now, rows, own.bills.get(day.pk), words)


def _choices(day: CastingDay, wax: Wax, shelf: KeptShelf) -> list[MetalChoice]:
    """What it comes to in each metal of the day."""
    wax_g, sprue_g, metals = float(wax.wax_g), float(wax.sprue_g), shelf.offered_on(day.pk)
    return metal_choices(wax_g, wax.pattern, metals, sprue_g, wax.sprue_pattern, shelf.prices, own=wax.own_metal)


def _cast_price(wax: Wax, cast_g: Decimal | None, prices: Prices | None) -> PiecePrice | None:
    """What a casting of this weight comes to; None before it is weighed, or without prices for bills."""
    if not cast_g or prices is None:
        return None
    return PiecePrices(prices, {}).of(wax.alloy.key, float(cast_g), own=wax.own_metal)


def _answers(day: CastingDay, waxes: list[Wax]) -> Mapping[str, WaxAnswer]:
    """The answer for each wax; none while the school's shelf cannot be read."""
    try:
        return answers_for(day, waxes) if waxes else {}
    except (Refused, NotPlanned):
        return {}
