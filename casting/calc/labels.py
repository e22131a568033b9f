"""Labels: held ones, then those of the plan before so that fewest waxes move, then A, B, ..."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import count, product

import numpy as np
from scipy.optimize import linear_sum_assignment

from casting.calc.day import DayInput
from casting.calc.flasks import Flasks
from casting.calc.result import Grouping

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def letters() -> Iterator[str]:
    """Yield A, B, ... Z, AA, AB, ...

    Examples
    --------
    >>> run = letters()
    >>> [next(run) for _ in range(28)][-3:]
    ['Z', 'AA', 'AB']
    """
    for length in count(1):
        for row in product(LETTERS, repeat=length):
            yield "".join(row)


def stay_put(flasks: Flasks, day: DayInput) -> list[str]:
    """Return a label for each flask, so that fewest waxes move.

    Parameters
    ----------
    flasks : tuple of Flask
        Flasks of a plan, in the order that free labels are given in.
    day : DayInput
        The day, for `held` and `previous`.

    Returns
    -------
    list of str
        Labels in the same order: held and fixed ones, then those of `previous` by most waxes
        in common, then the first free letters.
    """
    labels = [flask.label for flask in flasks]
    open_labels = sorted(set(day.previous) - set(labels))
    rows = sorted((i for i, label in enumerate(labels) if not label), key=lambda i: min(flasks[i].keys))
    if rows and open_labels:
        common = [[len(flasks[i].keys.intersection(day.previous[label].waxes)) for label in open_labels] for i in rows]
        for row, column in zip(*linear_sum_assignment(np.array(common), maximize=True), strict=True):
            if common[row][column]:
                labels[rows[row]] = open_labels[column]
    return _completed(labels, range(len(labels)))


def _completed(labels: list[str], order: Iterable[int]) -> list[str]:
    taken = set(labels)
    free = (label for label in letters() if label not in taken)
    for i in order:
        labels[i] = labels[i] or next(free)
    return labels


def moved_from(labels: Mapping[str, str], day: DayInput) -> tuple[str, ...]:
    """Return the waxes that changed flask.

    Parameters
    ----------
    labels : mapping of str to str
        Wax key to label, for the waxes in a flask.
    day : DayInput
        The day, for `previous`.

    Returns
    -------
    tuple of str
        Keys of waxes in both plans under different labels, sorted.
    """
    before = {key: label for label, flask in day.previous.items() for key in flask.waxes}
    return tuple(sorted(key for key, label in labels.items() if before.get(key, label) != label))


def relabel(grouping: Grouping, day: DayInput, order: Sequence[str]) -> Grouping:
    """Return the grouping with its free labels given in order of pour.

    Parameters
    ----------
    grouping : Grouping
        A grouping, its free labels provisional.
    day : DayInput
        The day, for `held` and `previous`.
    order : sequence of str
        Every provisional label, in order of pour.

    Returns
    -------
    Grouping
        Held labels and those taken over from `previous` stay; the others are A, B, ... in
        order, over the labels that stay.
    """
    waxes = {group.label: set(group.places) for group in grouping.groups}
    stays = [label if _stays(label, waxes[label], day) else "" for label in order]
    final = dict(zip(order, _completed(stays, range(len(stays))), strict=True))
    groups = sorted(
        (replace(group, label=final[group.label]) for group in grouping.groups),
        key=lambda group: (len(group.label), group.label),
    )
    places = {final[label]: place for label, place in grouping.kiln_places.items()}
    return replace(
        grouping,
        groups=tuple(groups),
        kiln_places=dict(sorted(places.items())),
        moved=moved_from({key: group.label for group in groups for key in group.places}, day),
    )


def _stays(label: str, keys: set[str], day: DayInput) -> bool:
    held = any(day.held.get(key) == label for key in keys)
    return held or (label in day.previous and not keys.isdisjoint(day.previous[label].waxes))
