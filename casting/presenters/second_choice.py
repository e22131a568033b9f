"""The second-choice metal of a wax that its first cannot be cast in: whether it would help, as its teacher is told."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from casting.calc.values.errors import Refused
from casting.models import Alloy, CastingDay, Wax
from casting.presenters.formats import units_of
from casting.presenters.wax_preview import WaxAnswer, answers_in
from casting.selectors.kept_shelf import metals_offered


@dataclass(frozen=True, slots=True)
class SecondChoice:
    """A wax with the metal that its student would take instead; `why_not` says why no flask takes it in that either."""

    wax: Wax
    alloy: Alloy
    why_not: str


def second_choices(day: CastingDay, waxes: Iterable[Wax], values: Mapping[str, Any]) -> dict[str, SecondChoice]:
    """Return the second choice of each of these waxes that has one among the metals of the day, by its tag.

    `values` are those of the day file that the waxes are left out of. At most one query.
    """
    asked = {wax.tag: (wax, wax.second_alloy) for wax in waxes if wax.second_alloy}
    if not asked:
        return {}
    offered = {alloy.key for alloy in metals_offered(day)} & {row["key"] for row in values.get("alloys", ())}
    asked = {tag: (wax, alloy) for tag, (wax, alloy) in asked.items() if alloy.key in offered}
    answers = _answers(day, {tag: alloy.key for tag, (_wax, alloy) in asked.items()}, values)
    found = {}
    for tag in asked.keys() & answers.keys():
        why = answers[tag].left_out
        found[tag] = SecondChoice(*asked[tag], why.detail if why else "")
    return found


def _answers(day: CastingDay, metals: Mapping[str, str], values: Mapping[str, Any]) -> Mapping[str, WaxAnswer]:
    """What each wax would be told in another metal; nothing while the shelf cannot be read."""
    rows = [row | {"alloy": metals.get(row["key"], row["alloy"])} for row in values["waxes"]]
    try:
        return answers_in({**values, "waxes": rows}, units_of(day.course.school)) if metals else {}
    except Refused:
        return {}
