"""Labels of flasks: held ones, those of the plan before so that fewest waxes move, then A, B, ..."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import count, product

import numpy as np

from casting.calc.grouping.budget import LABEL_NODES
from casting.calc.grouping.highs import solve_mip
from casting.calc.grouping.solution import Flasks
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Grouping

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


def assign_labels(flasks: Flasks, day: DayInput) -> list[str]:
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
        Labels in the same order: held and fixed ones; those of `previous`, matched so that most waxes
        keep theirs; then the first free letters.
    """
    labels = [flask.label for flask in flasks]
    open_labels = sorted(set(day.previous) - set(labels))
    rows = sorted((i for i, label in enumerate(labels) if not label), key=lambda i: min(flasks[i].keys))
    if rows and open_labels:
        for i, label in _matched(flasks, rows, open_labels, day):
            labels[i] = label
    return _completed(labels, range(len(labels)))


def _matched(flasks: Flasks, free: Sequence[int], open_labels: Sequence[str], day: DayInput) -> list[tuple[int, str]]:
    """The matching of flasks and labels of the plan before that has most waxes in common."""
    common = [
        (row, at, len(flasks[i].keys.intersection(day.previous[label].waxes)))
        for row, i in enumerate(free)
        for at, label in enumerate(open_labels)
    ]
    pairs = [(row, at, many) for row, at, many in common if many]
    if len({row for row, _, _ in pairs}) == len({at for _, at, _ in pairs}) == len(pairs):
        return [(free[row], open_labels[at]) for row, at, _ in pairs]  # each flask has one label, and none shares it
    columns = [(np.array([row, len(free) + at]), np.ones(2)) for row, at, _ in pairs]
    rows = len(free) + len(open_labels)
    found = solve_mip(
        np.array([-float(many) for _, _, many in pairs]),
        columns,
        (np.zeros(rows), np.ones(rows)),
        np.ones(len(pairs)),
        LABEL_NODES,
    )
    if found.amounts is None:
        raise AssertionError("labels that may all be left unused were not matched")
    return [
        (free[row], open_labels[at])
        for (row, at, _), used in zip(pairs, found.amounts.tolist(), strict=True)
        if used > 0.5
    ]


def _completed(labels: list[str], order: Iterable[int]) -> list[str]:
    taken = set(labels)
    free = (label for label in letters() if label not in taken)
    for i in order:
        labels[i] = labels[i] or next(free)
    return labels


def moved_waxes(labels: Mapping[str, str], day: DayInput) -> tuple[str, ...]:
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
    """Return the grouping with its free labels assigned in order of pour.

    Parameters
    ----------
    grouping : Grouping
        A grouping with provisional free labels.
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
        moved=moved_waxes({key: group.label for group in groups for key in group.places}, day),
    )


def _stays(label: str, keys: set[str], day: DayInput) -> bool:
    held = any(day.held.get(key) == label for key in keys) or any(flask.label == label for flask in day.placed)
    return held or (label in day.previous and not keys.isdisjoint(day.previous[label].waxes))
