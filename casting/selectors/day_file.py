"""A casting day's rows as one day file, and whether a plan still matches them. Reads only."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do
from casting.models import (
    Alloy,
    CastingDay,
    Firing,
    Flask,
    FlaskSize,
    HouseRules,
    Investment,
    Kiln,
    PatternMaterial,
    Plan,
    Wax,
    WaxHold,
)
from casting.models.errors import NotPlanned
from casting.selectors.board import Kept, kept_now, last_step, rows_kept
from casting.selectors.kept_shelf import KeptShelf, shelf_at
from casting.selectors.mishaps import mishaps_of, not_to_pour
from school.models import School


def day_file_of(day: CastingDay) -> str:
    """The day file of a casting day as its rows are now, as text for a child process."""
    return day_text_of(day, day_values_of(day) | kept_by_hand(day))


def day_text_of(day: CastingDay, values: Mapping[str, Any]) -> str:
    """The text of a day file of these values, planned from now on."""
    return text_of({**values, "now": to_the_minute(timezone.now(), day.course.school.tz)})


def text_of(values: Mapping[str, Any]) -> str:
    """The text of a day file of these values."""
    return json.dumps(values, indent=1, ensure_ascii=False) + "\n"


def to_the_minute(at: datetime, zone: ZoneInfo) -> str:
    """A time on the school's clock, up to the next whole minute: a flask sets no sooner than it is noted."""
    up = at + timedelta(microseconds=-(at.second * 1_000_000 + at.microsecond) % 60_000_000)
    return up.astimezone(zone).isoformat(timespec="minutes")


def day_values_of(
    day: CastingDay, rows_read: Sequence[Wax] | None = None, by_hand: Kept | None = None
) -> dict[str, Any]:
    """The values of a casting day's file as its rows are now; `rows_read` are its standing waxes, where read already.

    `by_hand` is what the board keeps; without it, what it kept after its last step.
    Raises `NotPlanned` without an investment, or if the day uses flask sizes or kilns of which none is left.
    """
    waxes = sorted(day.waxes.planned_from() if rows_read is None else rows_read, key=lambda wax: wax.pk)
    states, last = day.states(), Plan.objects.latest_of(day)
    fixed = fixed_waxes(last, states)
    file = day.to_day() | shelf_of(day, waxes, list(fixed.values()), _sizes_on_bench(last, states))
    kept = kept_now(day) if by_hand is None else by_hand
    file["flask_sizes"] = [
        row | {"count": max(0, row["count"] - kept.lost.get(row["key"], 0))} for row in file["flask_sizes"]
    ]
    nth: Counter[int] = Counter()
    rows = {}
    for wax in waxes:
        nth[wax.student_id] += 1
        rows[wax.tag] = wax.to_day(piece=nth[wax.student_id])
    file["waxes"] = [wax for _tag, wax in sorted((rows | fixed).items())]
    if kept.spilled:
        file["spilled"] = list(kept.spilled)
    return file | _kept(day, {wax.tag for wax in waxes}, file, last, states)


def fixed_waxes(plan: Plan | None, states: Mapping[str, str]) -> dict[str, dict[str, Any]]:
    """The waxes of invested and poured flasks by tag, as they were planned: withdrawn or changed since, they stay."""
    if plan is None or not states:
        return {}
    inside = {wax["key"] for flask in plan.file["flasks"] if flask["label"] in states for wax in flask["waxes"]}
    return {wax["key"]: wax for wax in plan.day_values["waxes"] if wax["key"] in inside}


def changed_since(plan: Plan, label: str) -> dict[str, str]:
    """The waxes of a flask that are no longer what was planned, by tag: `withdrawn` or `changed`."""
    return changed_among(plan, fixed_waxes(plan, {label: ""}))


def changed_among(plan: Plan, tags: Iterable[str]) -> dict[str, str]:
    """Which waxes of these tags are no longer what was planned: `withdrawn` or `changed`. One query."""
    asked = set(tags)
    planned = {wax["key"]: wax for wax in plan.day_values["waxes"] if wax["key"] in asked}
    rows = plan.day.waxes.filter(tag__in=planned).select_related("alloy", "pattern", "sprue_pattern")
    now = {wax.tag: wax for wax in rows}
    found = {}
    for tag, was in sorted(planned.items()):
        wax = now.get(tag)
        if wax is None or wax.withdrawn_at is not None:
            found[tag] = "withdrawn"
        elif wax.to_day(piece=was["piece"]) != was:
            found[tag] = "changed"
    return found


def shelf_of(
    day: CastingDay,
    waxes: list[Wax],
    fixed: Sequence[Mapping[str, Any]] = (),
    on_bench: Mapping[str, int] | None = None,
) -> dict[str, Any]:
    """The school's shelf: what the day works with, and whatever a wax of the day, or of a fixed flask, already uses.

    `on_bench` counts the flasks that are invested or poured, by size.
    """
    shelf = shelf_at(day.course.school)
    invested = {wax["alloy"] for wax in fixed}
    made_of = {key for wax in fixed for key in (wax["pattern"], wax["sprue_pattern"]) if key}
    metals = {alloy.pk for alloy in shelf.offered_on(day.pk)} | {wax.alloy_id for wax in waxes}
    used = {wax.pattern_id for wax in waxes} | {wax.sprue_pattern_id for wax in waxes}
    investments = shelf.rows(Investment)
    if not investments:
        raise NotPlanned(_("The school has no investment powder. Add one on the page Equipment."))
    return {
        "alloys": shelf.rows(Alloy, lambda row: row.pk in metals or row.key in invested),
        "patterns": shelf.rows(PatternMaterial, lambda row: row.offered or row.pk in used or row.key in made_of),
        "investment": investments[0],
        "flask_sizes": _sizes_used(day, shelf, on_bench or {}),
        "kilns": _kilns_used(day, shelf),
        "firings": shelf.rows(Firing),
        "rules": _with_own_bench(next(iter(shelf.rows(HouseRules)), {}), day),
    }


def house_rules_of(school: School) -> dict[str, Any]:
    """The school's house rules, as a day file has them."""
    return next(iter(shelf_at(school).rows(HouseRules)), {})


def rules_of(day: CastingDay) -> dict[str, Any]:
    """The house rules, with the day's own bench, which nobody has from memory."""
    return _with_own_bench(house_rules_of(day.course.school), day)


def _with_own_bench(rules: dict[str, Any], day: CastingDay) -> dict[str, Any]:
    own = day.own_bench()
    if own and "from_memory" in rules:
        rules = rules | {"from_memory": [name for name in rules["from_memory"] if name not in own]}
    return rules | own


def _sizes_on_bench(plan: Plan | None, states: Mapping[str, str]) -> Counter[str]:
    return Counter(flask["size"] for flask in (plan.file["flasks"] if plan else []) if flask["label"] in states)


def _sizes_used(day: CastingDay, shelf: KeptShelf, on_bench: Mapping[str, int]) -> list[dict[str, Any]]:
    """The flask sizes that the day uses; of another, only as many flasks as are on the bench."""
    rows, used = shelf.rows(FlaskSize), day.sizes_used
    if used is None:
        return rows
    if not any(row["key"] in used for row in rows):
        raise NotPlanned(
            _(
                "None of the flask sizes that this day uses is worked with any more. Choose others on the page Change "
                "the day."
            )
        )
    some = [row if row["key"] in used else row | {"count": on_bench.get(row["key"], 0)} for row in rows]
    return [row for row in some if row["key"] in used or row["count"]]


def kilns_of(school: School) -> list[dict[str, Any]]:
    """All kilns that the school works with, as a day file has them."""
    return shelf_at(school).rows(Kiln)


def equipment_of(day: CastingDay, last: Plan | None) -> dict[str, list[str]]:
    """The keys of the flask sizes and kilns that the day file hands over; `last` is the day's latest plan."""
    shelf = shelf_at(day.course.school)
    sizes, kilns = _sizes_used(day, shelf, _sizes_on_bench(last, day.states())), _kilns_used(day, shelf)
    return {"flask_sizes": [row["key"] for row in sizes], "kilns": [row["key"] for row in kilns]}


def _kilns_used(day: CastingDay, shelf: KeptShelf) -> list[dict[str, Any]]:
    """The kilns that the day uses, and those that are on."""
    rows, used = shelf.rows(Kiln), day.kilns_used
    if used is None:
        return rows
    if not any(row["key"] in used for row in rows):
        raise NotPlanned(
            _("None of the kilns that this day uses is worked with any more. Choose others on the page Change the day.")
        )
    on = day.kilns_on()
    return [row for row in rows if row["key"] in used or row["key"] in on]


def _kept(
    day: CastingDay, tags: set[str], file: Mapping[str, Any], last: Plan | None, states: Mapping[str, str]
) -> dict[str, Any]:
    """What the new plan must respect: waxes held by the teacher, the plan before, flasks on the bench."""
    held = WaxHold.objects.filter(wax__day=day, wax__tag__in=tags).values_list("wax__tag", "label")
    sizes, kilns = ({row["key"] for row in file[part]} for part in ("flask_sizes", "kilns"))
    previous = {
        flask["label"]: {"size": flask["size"], "waxes": [wax["key"] for wax in flask["waxes"]]}
        | ({name: flask[name] for name in KILN_PLACE} if flask["label"] in states and flask["kiln"] in kilns else {})
        for flask in (last.file["flasks"] if last else [])
        if flask["size"] in sizes
    }
    kept: dict[str, Any] = {
        "held": dict(held),
        "previous": previous,
        "fixed": sorted(states),
    }
    if charged := _charged(last, states):
        kept["charged_g"] = charged
    return kept | {name: value for name, value in _done(day, last, states, kilns).items() if value}


def kept_by_hand(day: CastingDay) -> dict[str, Any]:
    """What a teacher keeps on the board, as a day file places it: flasks, spots, and waxes left out. Few queries."""
    step, last = last_step(day), Plan.objects.latest_of(day)
    if step is None or last is None:
        return {}
    kept, states = Kept.of(step), day.states()
    held = set(WaxHold.objects.filter(wax__day=day).values_list("wax__tag", flat=True))
    tags = set(day.waxes.filter(withdrawn_at__isnull=True).values_list("tag", flat=True))
    placed = rows_kept(last.file, kept, tags | fixed_waxes(last, states).keys(), states)
    inside = {wax["key"] for row in placed for wax in row["waxes"]}
    on_spot = {wax["key"] for row in placed for wax in row["waxes"] if "x_mm" in wax}
    parts = {
        "placed": placed,
        "kept_out": sorted((kept.out & tags) - held - inside),
        "reach_overruled": {tag: why for tag, why in kept.reach.items() if tag in on_spot},
    }
    return {name: part for name, part in parts.items() if part}


KILN_PLACE = ("kiln", "kiln_x_mm", "kiln_y_mm")
"""Where a flask on the bench stands, or will stand: every later plan leaves it in its kiln."""


def _charged(last: Plan | None, states: Mapping[str, str]) -> dict[str, float]:
    """What each flask on the bench was to be charged with when it was invested, however often it was planned since."""
    if last is None or not states:
        return {}
    before = last.day_values.get("charged_g", {})
    return {
        flask["label"]: before.get(flask["label"], flask["charge_g"])
        for flask in last.file["flasks"]
        if flask["label"] in states
    }


def _done(day: CastingDay, last: Plan | None, states: Mapping[str, str], kilns: set[str]) -> dict[str, Any]:
    """What is noted as done: when flasks were invested and kilns went on, and which flasks are poured.

    One that is not poured any more is done too, once its kiln is on: nothing waits for it, and it stays with its waxes
    for the account. Before that it would say that its kiln has been on.
    """
    noted = day.steps_done.order_by("what").values_list("do", "what", "done_at")
    zone = day.course.school.tz
    steps = [(do, what, to_the_minute(at, zone)) for do, what, at in noted]
    on = {what for do, what, _at in steps if do == Do.KILN_ON}
    hot = {flask["label"] for flask in (last.file["flasks"] if last else []) if flask["kiln"] in on}
    out = not_to_pour(mishaps_of(day), states) & states.keys() & hot
    return {
        "invested_at": {what: at for do, what, at in steps if do == Do.MIX and what in states},
        "poured": sorted(label for label, state in states.items() if state == Flask.State.POURED or label in out),
        "kiln_on_at": {what: at for do, what, at in steps if do == Do.KILN_ON and what in kilns},
    }


DONE = ("previous", "fixed", "now", "invested_at", "poured", "kiln_on_at", "charged_g")
"""The keys of a day file that say what the plan before was and what is done since."""
BY_HAND = ("placed", "kept_out", "reach_overruled")
"""The keys that say what a teacher did on the board: a plan made by hand is no older for it."""


def is_outdated(plan: Plan, values: Mapping[str, Any] | None = None) -> bool:
    """Tell whether the day's rows, or the values of the day file made of them, differ from what was planned."""
    return _asked(values or day_values_of(plan.day)) != _asked(plan.day_values)


def _asked(values: Mapping[str, Any]) -> dict[str, Any]:
    """A day file's values without the plan before, what is done and what is placed by hand: no plan is older for it."""
    return {key: value for key, value in values.items() if key not in (*DONE, *BY_HAND)}


def still_offered(now: Mapping[str, Any], offered: Mapping[str, Any]) -> bool:
    """Tell whether a plan that a search found meanwhile is one of the day as it is `now`; what is held may differ."""
    then = json.loads(offered["day_file"])
    same = _asked(now) | {"held": {}} == _asked(then) | {"held": {}}
    on_bench = (now["fixed"], now.get("kiln_on_at") or {}) == (then["fixed"], then.get("kiln_on_at") or {})
    return same and on_bench
