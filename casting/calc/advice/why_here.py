"""Why a wax stands in its flask: what keeps it out of each other one, and what it would cost there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from casting.calc.advice.carrying import Answer, Bill, Board, Verdict
from casting.calc.values.placed import Breach, Rule


@dataclass(frozen=True, slots=True)
class WhyHere:
    """Why a wax stands in flask `label` (empty: in none).

    `kept_out` has the other flasks by the first rule that keeps it out, with each one's breach; `no_spot` those where
    no spot was found while the others stay, which proves nothing; `elsewhere` those that take it, cheapest first,
    with what the day would then take more.
    """

    label: str
    kept_out: tuple[tuple[Rule, tuple[tuple[str, Breach], ...]], ...]
    no_spot: tuple[str, ...]
    elsewhere: tuple[tuple[str, Bill], ...]

    @property
    def is_only_one(self) -> bool:
        """Whether every other flask is closed to it by a rule."""
        return not self.no_spot and not self.elsewhere


def why_here(board: Board, key: str, answered: Sequence[Answer] | None = None) -> WhyHere:
    """Return why a wax stands where it does.

    Parameters
    ----------
    board : Board
        The flasks as they stand.
    key : str
        A wax.
    answered : sequence of Answer, optional
        What the board answers for the wax, where it was asked already.

    Returns
    -------
    WhyHere
        Flasks in use only; an empty one of another size is a choice of its own (`Board.answers`).
    """
    every = board.answers(key) if answered is None else answered
    answers = [answer for answer in every if answer.label and answer.verdict is not Verdict.HERE]
    by_rule: dict[Rule, list[tuple[str, Breach]]] = {}
    for answer in answers:
        if answer.breaches:
            by_rule.setdefault(answer.breaches[0].rule, []).append((answer.label, answer.breaches[0]))
    takes = [
        (answer.label, answer.price.more) for answer in answers if answer.verdict is Verdict.TAKES and answer.price
    ]
    here = board.flask_of(key)
    return WhyHere(
        here.label if here else "",
        tuple((rule, tuple(found)) for rule, found in sorted(by_rule.items())),
        tuple(answer.label for answer in answers if answer.verdict is Verdict.NOT_FOUND),
        tuple(sorted(takes, key=lambda one: (round(one[1].cost, 2), one[0]))),
    )
