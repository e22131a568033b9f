"""What a school's own past days say of its defaults: figures as a distribution, and a default offered from them."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from casting.calc.values.caution_rule import Rulebook


@dataclass(frozen=True, slots=True)
class Spread:
    """Past figures of one kind: how many, the least and the most, and their quartiles [the unit of the figures]."""

    n: int
    least: float
    low: float
    median: float
    high: float
    most: float


@dataclass(frozen=True, slots=True)
class Offer:
    """A default, what past days say instead, and what that would have changed in the latest of them.

    `missed` and `would_miss` are how far the default and the offered figure were from what came of each, on average
    [the figures' unit]. `changed` is what the offered figure would have added on the latest days [its own unit].
    """

    default: float
    offered: float
    missed: float
    would_miss: float
    changed: float


def spread_of(values: Sequence[float]) -> Spread | None:
    """Return past figures as a distribution.

    Parameters
    ----------
    values : sequence of float
        The figures [one unit].

    Returns
    -------
    Spread or None
        With quartiles between the ordered figures (type 7 of Hyndman and Fan 1996); None without a figure.

    Examples
    --------
    >>> spread_of([14, 10, 12, 20])
    Spread(n=4, least=10, low=11.5, median=13.0, high=15.5, most=20)
    """
    if not values:
        return None
    ordered = sorted(values)
    if len(ordered) == 1:
        low = median = high = float(ordered[0])
    else:
        low, median, high = statistics.quantiles(ordered, n=4, method="inclusive")
    return Spread(len(ordered), ordered[0], low, median, high, ordered[-1])


def is_few(spread: Spread, book: Rulebook) -> bool:
    """Tell whether past figures are so few that the next one may move their quartiles far.

    Parameters
    ----------
    spread : Spread
        The figures.
    book : Rulebook
        `learning_few_figures`.

    Returns
    -------
    bool
        True if there are fewer.
    """
    return spread.n < book.limit("learning_few_figures")


def offer_of(
    default: float, offered: float, values: Sequence[float], comes_to: Callable[[float], float], book: Rulebook
) -> Offer | None:
    """Return the middle of past figures as a new default, with what it would have changed.

    Parameters
    ----------
    default : float
        What the school reckons with now [the figures' unit].
    offered : float
        The median of the figures, as it is shown [the figures' unit].
    values : sequence of float
        What came of it [one unit].
    comes_to : callable
        What a figure comes to on all of the latest days together, for example the grams of their buttons.
    book : Rulebook
        The limits that say how few figures are too few.

    Returns
    -------
    Offer or None
        None of fewer figures than `learning_least_figures`, or if the default is offered. Nothing is changed by it:
        somebody takes it or leaves it.
    """
    if len(values) < book.limit("learning_least_figures") or offered == default:
        return None
    return Offer(
        default=default,
        offered=offered,
        missed=statistics.fmean(abs(value - default) for value in values),
        would_miss=statistics.fmean(abs(value - offered) for value in values),
        changed=comes_to(offered) - comes_to(default),
    )
