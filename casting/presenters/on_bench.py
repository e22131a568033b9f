"""How far a flask has come on the bench, and which steps of the plan it needs no more."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime, timedelta

from casting.calc.values.enums import Do

MOUNTED = "mounted"
"""Before all others: known once a finished base is weighed, or its flask is invested."""
INVESTED, IN_KILN, POURED, QUENCHED, GIVEN_BACK = STAGES = ("invested", "in_kiln", "poured", "quenched", "given_back")
"""In order. Invested and poured are what a flask's row says; it is in the kiln once that is noted on."""

DONE_BY = {
    **dict.fromkeys((Do.MOUNT, Do.MIX), INVESTED),
    **dict.fromkeys((Do.SET, Do.LOAD, Do.KILN_ON), IN_KILN),
    **dict.fromkeys((Do.RAMP, Do.HOLD, Do.SOAK, Do.MELT, Do.POUR), POURED),
    Do.QUENCH: QUENCHED,
}
"""The stage at which a step is done for a flask; nobody notes when one is cleaned out."""


def stages_of(
    on_bench: Mapping[str, str],
    kiln_of: Mapping[str, str],
    kilns_on: Collection[str],
    quenched: Collection[str] = (),
    given_back: Collection[str] = (),
) -> dict[str, str]:
    """Return the stage of each flask on the bench: an invested one is in its kiln if that is noted on.

    `given_back` are the flasks of which every piece is with its student.
    """
    stages = {}
    for label, state in on_bench.items():
        in_kiln = state == INVESTED and kiln_of.get(label) in kilns_on
        stages[label] = IN_KILN if in_kiln else state
        if state == POURED and label in given_back:
            stages[label] = GIVEN_BACK
        elif state == POURED and label in quenched:
            stages[label] = QUENCHED
    return stages


def done_for(do: Do, labels: Sequence[str], stages: Mapping[str, str], ended: bool = False) -> tuple[str, ...]:
    """Return the flasks that need a step no more; `ended` tells that its time is over, in which a flask sets."""
    if do not in DONE_BY:
        return ()
    first = INVESTED if do is Do.SET and ended else DONE_BY[do]
    enough = STAGES[STAGES.index(first) :]
    return tuple(label for label in labels if stages.get(label) in enough)


def is_over(ends_at: datetime, on_at: datetime, on_since: datetime | None, now: datetime | None) -> bool:
    """Tell whether a climb or a hold of a kiln lies before now, as far as is known.

    It ends as much later than planned as the kiln went on later than planned. A kiln that nobody noted as on has
    done nothing, and without `now` nothing is over.
    """
    if on_since is None or now is None:
        return False
    return ends_at + max(on_since - on_at, timedelta(0)) <= now
