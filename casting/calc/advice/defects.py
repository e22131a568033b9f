"""Likely causes of a defect, ranked by what the record of its own flask shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.defect import Cause, CauseRule, Defect, Sense, Verdict
from casting.calc.values.tolerances import EASE

RANK = {verdict: place for place, verdict in enumerate(Verdict)}


def likely_causes(
    kind: Defect, record: Mapping[str, float], rules: Sequence[CauseRule], book: Rulebook
) -> tuple[Cause, ...]:
    """Return the usual causes of a defect, the likeliest first.

    Parameters
    ----------
    kind : Defect
        What is wrong with the casting.
    record : mapping of str to float
        The figures of its flask, by the names that the rules use [the unit at the end of each name]. One that is
        missing was not recorded; it is never taken as good.
    rules : sequence of CauseRule
        Causes, the more usual first.
    book : Rulebook
        The limits that the record is held against.

    Returns
    -------
    tuple of Cause
        First those that the record points to, by how far the figure is off [% of what is asked]; then those of which
        nothing is recorded, and then those it speaks against, both in the order of `rules`. How far figures of
        different units are off is no physical measure, only an order in which to look.
    """
    found = [_held_against(rule, record, book) for rule in rules if kind in rule.kinds]
    return tuple(sorted(found, key=lambda cause: (RANK[cause.verdict], -cause.off_pct)))


def _held_against(rule: CauseRule, record: Mapping[str, float], book: Rulebook) -> Cause:
    """What the record says of one cause."""
    found = record.get(rule.fact)
    if rule.than is None:
        verdict = _verdict(None if found is None else found > 0)
        return Cause(rule, verdict, found, None, 100.0 if verdict is Verdict.POINTS_HERE else 0.0)
    asked = record[rule.than] if rule.than in record else _limit(rule.than, book)
    if found is None or not asked:
        return Cause(rule, Verdict.NOT_RECORDED, found, asked)
    off_pct = 100 * (found - asked) / asked * (1 if rule.sense is Sense.ABOVE else -1)
    points = off_pct > rule.by_pct + EASE
    return Cause(rule, _verdict(points), found, asked, off_pct if points else 0.0)


def _verdict(points: bool | None) -> Verdict:
    if points is None:
        return Verdict.NOT_RECORDED
    return Verdict.POINTS_HERE if points else Verdict.SPEAKS_AGAINST


def _limit(name: str, book: Rulebook) -> float | None:
    return book.limits[name].value if name in book.limits else None
