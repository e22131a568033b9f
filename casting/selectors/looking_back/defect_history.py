"""How often pieces had which defect, by metal and by flask size, over the past days of a school. Reads only."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field

from casting.dayfile.rules_file import rulebook
from casting.models import Flask, PieceDefect
from casting.selectors.looking_back.past_days import days_of, last_plans
from school.models import School


@dataclass(slots=True)
class Cast:
    """Pieces that were cast alike: how many, how many with a defect, and how many with each kind."""

    pieces: int = 0
    with_defect: int = 0
    kinds: Counter[str] = field(default_factory=Counter)

    def add(self, kinds: set[str]) -> None:
        """Count a piece with the kinds of its defects; a kind at two places of a piece counts once."""
        self.pieces += 1
        self.with_defect += bool(kinds)
        self.kinds += Counter(kinds)


def defect_history(school: School) -> dict[tuple[str, str], Cast]:
    """Return the pieces of poured flasks by the keys of metal and flask size; four queries, however many days."""
    rows = days_of(school).order_by("-pour_at", "-pk").select_related("course__school")
    days = {day.pk: day for day in rows[: int(rulebook().limit("learning_most_days"))]}
    of_days = {"day__in": list(days)}
    poured = set(Flask.objects.filter(state=Flask.State.POURED, **of_days).order_by().values_list("day", "label"))
    seen: dict[tuple[int, str], set[str]] = defaultdict(set)
    defects = PieceDefect.objects.filter(wax__day__in=list(days), taken_back_at=None).order_by()
    for day, tag, kind in defects.values_list("wax__day", "wax__tag", "kind"):
        seen[day, tag].add(kind)
    found: dict[tuple[str, str], Cast] = defaultdict(Cast)
    for key, plan in last_plans(days).items():
        for flask in plan.file["flasks"]:
            if (key, flask["label"]) in poured:
                for wax in flask["waxes"]:
                    found[flask["alloy"], flask["size"]].add(seen[key, wax["key"]])
    return found
