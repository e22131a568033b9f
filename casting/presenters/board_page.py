"""All that the page of a board shows: the flasks, the wax or flask in hand with its answers, and the steps so far."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, TypeVar
from urllib.parse import urlencode

from django.utils.translation import gettext_lazy as _

from casting.calc.values.day_plan import Place
from casting.models import BoardStep, CastingDay, PaperPrinted, Plan, Search, Wax, WaxHold
from casting.models.errors import NotPlanned
from casting.presenters.board import BoardPage, EmptyFlask, FlaskOnBoard
from casting.presenters.board_history import label_of_undo, words_of
from casting.presenters.carry_answers import AnswerLine, answers_for
from casting.presenters.comparison import savings_of
from casting.presenters.navigation import day_context
from casting.presenters.nearest import nearest_of
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.sooner import sooner_of
from casting.presenters.spilled import spilled_of
from casting.presenters.standing import standing_of
from casting.selectors.board import Kept, last_step, redo_to, shown_by, undo_to
from casting.selectors.day_file import day_values_of, still_offered
from casting.selectors.kept_shelf import standing_waxes
from casting.selectors.searches import SearchStatus, offered_in, status_of

T = TypeVar("T", FlaskOnBoard, EmptyFlask)
VIEWS = ("button", "side")
STEPS_SHOWN = 12
HOURS = (12, *range(1, 12))
NUDGES = (
    ("turn", _("turn left"), "0 0 15"),
    ("turn", _("turn right"), "0 0 -15"),
    ("nudge", _("left"), "-1 0 0"),
    ("nudge", _("right"), "1 0 0"),
    ("nudge", _("up"), "0 1 0"),
    ("nudge", _("down"), "0 -1 0"),
)
"""What a button does to the wax in hand: by 15 degrees, or by 1 mm."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """What is in hand: a wax, or a flask seen from the `button` or the `side`; why a step was refused."""

    wax: str = ""
    flask: str = ""
    view: str = ""
    refused: str = ""
    since: int | None = None
    beyond: Place | None = None
    """The spot that only the reach of the cone refused."""
    later: datetime | None = None
    """The first pour that would do, if only that refused a spilled bowl."""
    asks: str = ""
    """`saves`: what would save a flask or an hour."""

    @classmethod
    def of(cls, given: Mapping[str, str]) -> Chosen:
        """Return what an address, or a form, has in hand."""
        view = given.get("view", "")
        wax, flask = given.get("wax", given.get("tag", "")), given.get("flask", given.get("label", ""))
        since, asks = given.get("since", ""), "saves" if given.get("asks") == "saves" else ""
        seen = int(since) if since.isdecimal() else None
        return cls(wax[:2], flask[:3], view if view in VIEWS else "", since=seen, asks=asks)

    def but(
        self,
        *,
        refused: str,
        since: int | None = None,
        beyond: Place | None = None,
        later: datetime | None = None,
    ) -> Chosen:
        """Return the same with the sentence of a refusal."""
        return replace(self, refused=refused, since=since, beyond=beyond, later=later)

    @property
    def fragment(self) -> str:
        """The end of the address that shows it."""
        return f"?{self.query.removeprefix('&')}#hand" if self.query else ""

    @property
    def query(self) -> str:
        """The same behind other parts of an address."""
        parts = {name: getattr(self, name) for name in ("wax", "flask", "view", "asks") if getattr(self, name)}
        return f"&{urlencode(parts)}" if parts else ""


@dataclass(frozen=True, slots=True)
class InHand:
    """The wax in hand: where it stands, and what every flask says to it."""

    wax: Wax
    home: str
    kept: bool
    on_spot: bool
    left_out: bool
    answers: tuple[AnswerLine, ...] = ()
    why: tuple[str, ...] = ()
    refused: str = ""
    spot: Mapping[str, float] | None = None
    swaps: tuple[tuple[str, str], ...] = ()
    trees: tuple[tuple[str, range], ...] = ()
    """The trees on which it can be hung by hand: each label, and its tiers with one more."""

    @property
    def takes(self) -> list[AnswerLine]:
        """The flasks that take it, and the smallest that stands empty."""
        return [one for one in self.answers if one.takes and one.label] + self._empty[:1]

    @property
    def more_sizes(self) -> list[AnswerLine]:
        """Empty flasks of other sizes that take it."""
        return self._empty[1:]

    @property
    def refuses(self) -> list[AnswerLine]:
        """The flasks that do not take it, and the one that it is in."""
        return [one for one in self.answers if not one.takes]

    @property
    def _empty(self) -> list[AnswerLine]:
        return [one for one in self.answers if one.takes and not one.label]


def board_context(day: CastingDay, chosen: Chosen, *, may_move: bool) -> dict[str, Any]:
    """Return what the templates of the board need."""
    plan, last = Plan.objects.latest_of(day), last_step(day)
    opened = OpenedPlan(plan) if plan else None
    before = (plan.revision - 1 if chosen.since is None else chosen.since) if plan else 0
    since = Plan.objects.filter(day=day, revision=before).first() if before else None
    held = dict(WaxHold.objects.filter(wax__day=day).values_list("wax__tag", "label"))
    waxes = standing_waxes(day)
    page = BoardPage(day, opened, Kept.of(last), held, waxes, since, _values(day, waxes))
    search = status_of(day)
    in_hand = _in_hand(page, chosen.wax, plan, may_move)
    said = {line.to: line for line in in_hand.answers} if in_hand else {}
    flasks = [_answering(one, said.get(one.label)) for one in page.flasks]
    flask = next((one for one in flasks if one.label == chosen.flask), None)
    return day_context(day, plan, "board") | {
        "board": page,
        "opened": opened,
        "units": page.units,
        "chosen": chosen,
        "flasks": flasks,
        "sizes": [_answering(one, said.get(f"size:{one.key}")) for one in page.sizes],
        "in_hand": in_hand,
        "flask_in_hand": flask,
        "spilled": spilled_of(opened.sheet, flask.label) if opened and flask else None,
        "others": [one for one in flasks if one is not flask and one.is_open],
        "may_move": may_move and not day.why_shut,
        "search": search,
        "offer": _offer(page, search.row if search else None),
        "steps": steps_of(day),
        "nudges": NUDGES,
        "hours": HOURS,
        "printed": PaperPrinted.objects.filter(day=day, revision__isnull=False).exists(),
        "undo": label_of_undo(_undone(plan, last)),
        "redo": label_of_undo(redo_to(last) if _is_shown(plan, last) else None),
        **(_saves(opened, search) if opened and chosen.asks and may_move else {}),
    }


def _saves(opened: OpenedPlan, search: SearchStatus | None) -> dict[str, Any]:
    """What is known of a flask or an hour less: each change planned before it is shown, with its price."""
    day, plan = opened.plan.day, opened.plan
    return {
        "sheet": opened.sheet,
        "cautions": opened.cautions,
        "sooner": sooner_of(opened, search) if search is not None else None,
        "nearest": nearest_of(day, search, plan) if search is not None and search.row.plan_id == plan.pk else None,
        "savings": savings_of(opened, status_of(day, Search.Kind.SAVING)),
    }


def _answering(one: T, line: AnswerLine | None) -> T:
    """A flask with what it says to the wax in hand."""
    return replace(one, verdict=line.verdict, answer=line.short) if line else one


def _offer(page: BoardPage, search: Search | None) -> list[tuple[str, str, str]]:
    """What a search found while the board went on, figure by figure beside the board's own; nothing if it is stale."""
    offered = offered_in(search)
    if offered is None or page.opened is None or page.values is None or offered["plan"] == page.opened.plan.file:
        return []
    if not still_offered(page.values, offered):
        return []
    theirs, ours = (page.in_words(plan) for plan in (offered["plan"], page.opened.plan.file))
    return [(name, words, ours[name]) for name, words in theirs.items()]


def _values(day: CastingDay, waxes: Sequence[Wax]) -> Mapping[str, Any] | None:
    try:
        return day_values_of(day, waxes)
    except NotPlanned:
        return None


def _is_shown(plan: Plan | None, last: BoardStep | None) -> bool:
    """Whether the last step on the board made the plan that is shown."""
    return plan is not None and last is not None and last.plan_id == plan.pk


def _undone(plan: Plan | None, last: BoardStep | None) -> BoardStep | None:
    """The step that an undo takes back: also a plan that the computer made since the last one."""
    if plan is None or last is None:
        return None
    if not _is_shown(plan, last):
        return BoardStep(day=plan.day, plan=plan, did=BoardStep.Did.PLANNED)
    return shown_by(last) if undo_to(last) else None


def steps_of(day: CastingDay) -> list[Any]:
    """Return the last steps in words, the latest first."""
    rows = BoardStep.objects.filter(day=day).select_related("day__course__school", "by", "plan")
    return [words_of(step) for step in rows.defer("plan__day_file", "plan__plan_file").order_by("-pk")[:STEPS_SHOWN]]


def _in_hand(page: BoardPage, tag: str, plan: Plan | None, may_move: bool) -> InHand | None:
    """The wax in hand with its answers; None if the day has no such wax."""
    wax = next((one for one in page.waxes if one.tag == tag), None)
    if wax is None:
        return None
    home, spot = _home(page.flasks, tag)
    swaps = [(one.wax.key, flask.label) for flask in page.flasks if flask.is_open for one in flask.sheet.waxes]
    hand = InHand(
        wax,
        home,
        tag in page.pinned,
        tag in page.kept.spots,
        tag in page.kept.out,
        spot=spot,
        trees=tuple(
            (flask.label, range(1, len(flask.sheet.tiers) + 2))
            for flask in page.flasks
            if flask.is_open and flask.sheet.tiers
        ),
        swaps=tuple((other, label) for other, label in swaps if label != home) if home else (),
    )
    if not may_move or any(one.label == home and not one.is_open for one in page.flasks):
        return hand
    try:
        answered = answers_for(standing_of(page.day, plan, page.values), tag, page.day.course.school)
        return replace(hand, answers=answered.lines, why=answered.why)
    except NotPlanned as refusal:
        return replace(hand, refused=refusal.sentence)


def _home(flasks: list[FlaskOnBoard], tag: str) -> tuple[str, Mapping[str, float] | None]:
    for flask in flasks:
        for one in flask.sheet.waxes:
            if one.wax.key == tag:
                place = one.place
                return flask.label, {"x": place.x_mm, "y": place.y_mm, "turn": place.turn_deg}
    return "", None
