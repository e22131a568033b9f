"""The limits of the search, counted in work and never in seconds.

The same day and effort therefore give the same plan on a slow machine and on a fast one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Self

# Effort of a whole search [units of work]

FIRST_EFFORT = 5
"""The first plan, which a teacher sees while better ones are searched for."""

EFFORT = 100
"""Default effort."""

SITE_EFFORT, FURTHER_EFFORT = 400, 1600
"""A plan made on the site, and a longer search that a teacher asks for."""

SAVINGS_EFFORT, CHANGES_OF_A_KIND = 25, 16
"""The effort for each change that might save a flask, and the most changes of a kind that are planned."""

RUNGS = (10, 100, 400, 1600, 6400)
"""Efforts at which column generation runs, each from the plan before: more effort is never worse."""

SOONER_EFFORT = 10
"""Enough for column generation once; a plan beside the cheapest is not worth the cheapest's whole search."""

NEAREST_MOST, NEAREST_STEP_MIN = 3, 15
"""The most changes that are planned for a day that cannot work, and the steps in which a time is tried first [min]."""

# Layouts

SEEK, SEEK_SURE, SEEK_HARD = 6, 32, 400
"""Work for a layout: at first, where one was taken for granted, and where a teacher asks for it."""

FULL, LOOSER = 0.80, 0.04
"""How full a base may be for a first layout search, and by how much other tries differ from it.

Half of the searches on fuller bases find a layout.
"""


@dataclass(frozen=True, slots=True)
class Step:
    """How full bases may be, and how much work their layouts are worth."""

    full: float
    work: int


STEPS = (Step(0.78, 32), Step(0.82, 32), Step(0.86, 32), Step(0.89, 240), Step(0.92, 240), Step(math.inf, 400))
"""From flasks that nearly always have a layout to flasks that hardly ever have one.

Of 1,500 sets drawn from invented days, all had a layout up to 0.82, three of four from 0.86 to 0.88, one of 91 over
0.92. A layout that is not searched for refutes nothing.
"""

GROUP_STEPS = STEPS[1:3]
"""Steps for a group of a few flasks."""

DOWNSIZE = STEPS[2]
"""How full a smaller flask may be for a plan's flask to be put into it at the end."""

# The first plan

TRUST, TRUSTING = 0.8, 6
"""How full a flask may be for its layout to be taken for granted until the end, and how many times that is tried."""

SAVINGS = 12
"""The most moves and exchanges of single waxes in the first plan."""

# Bounds and labels

RELAXATION_NODES = 3000
"""Branches of the MIP that bounds flasks and cost by counts."""

LABEL_NODES = 1000
"""Branches of the MIP that matches labels; its LP relaxation is integral, so none are needed."""

# Column generation

LP_ROUNDS = 80
"""The most LPs solved for one bound."""

FEW = 300
"""Sets kept at a level while pricing only looks for columns and does not yet prove that none is left."""

COLUMNS_ADDED, SETS_LOOKED_AT = 30, 400
"""The most columns that one pricing problem adds in a round, and the sets it looks at for them."""

# Diving

DIVE_ROUNDS = 3
"""The most LPs solved after each choice."""

BARRED = 3
"""The most backtracks allowed in a dive."""

WAXES_EASY = 20
"""Up to this number of waxes MIPs are quick: there is no dive, and the work of a MIP is its number of columns."""

WAXES_MANY, WAXES_VERY_MANY = 40, 100
"""Beyond the first number of waxes there are dives only and no fullest step, beyond the second no roomiest one."""

WAXES_LAID_OUT = 50
"""Layout work grows in proportion above this number of waxes, by its whole multiples."""


@dataclass(frozen=True, slots=True)
class Budget:
    """How far column generation goes at an effort."""

    sets: int
    """Sets of waxes kept at each level of a pricing problem."""
    likely: int
    """Columns of a MIP that looks for a better plan."""
    listed: int
    """Columns of a MIP over all columns that a better plan could have."""
    nodes: int
    """Branches of a MIP."""
    groups: int
    """Groups of a few flasks that are solved again."""
    rounds: int
    """MIP rounds; each drops columns whose layout search failed."""
    steps: tuple[Step, ...]
    """How full the flasks of a better plan may be, starting low."""
    layouts: int
    """Work for all layouts of the day, including work already done."""
    weighed: int
    """Columns of all MIPs together, including those already solved."""

    @classmethod
    def of(cls, effort: int, waxes: int, layouts: int, weighed: int) -> Self:
        """Return the budget of an effort.

        Parameters
        ----------
        effort : int
            Units of work.
        waxes : int
            Waxes of the day.
        layouts, weighed : int
            Work done before for layouts [units of work] and in MIPs [columns].

        Returns
        -------
        Budget
            More in every figure for more effort.
        """
        return cls(
            sets=max(2_000, 200 * effort),
            likely=max(300, 10 * effort),
            listed=max(300, 60 * effort),
            nodes=max(100, 4 * effort),
            groups=effort // 5,
            rounds=4 + effort // 25,
            steps=STEPS[: 3 + sum(effort >= rung for rung in RUNGS[1:4])],
            layouts=layouts + 15 * effort * max(1, waxes // WAXES_LAID_OUT),
            weighed=weighed + 1_000 + 600 * effort,
        )
