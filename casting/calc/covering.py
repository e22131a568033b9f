"""Waxes shared out all at once, goal by goal: bounds that no plan can better, and better plans.

Flasks worth having are found by what the programme in parts says each wax is worth (Gilmore and
Gomory 1961); when no flask earns anything, its least is a bound. A flask that falls short of earning
by more than a plan can still gain is in no better plan: the others, listed, settle it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from casting.calc.aims import Tried
from casting.calc.columns import Stand, stands_of
from casting.calc.flasks import SEEK, SEEK_HARD, Bench, Flask, Flasks
from casting.calc.footprint import cannot_share
from casting.calc.ledger import Goal, Kept, Ledger, Worth
from casting.calc.needs import Needs
from casting.calc.share import Party, Piece
from casting.calc.strikes import Strikes
from casting.calc.words import Aim

EASE = 1e-6

PER_STAND = 30
"""So many new flasks of a stand are entered at a time."""

LOOKED_AT = 400
"""So many sets of a stand are looked at for new ones."""

FEW = 300
"""Sets at a level while flasks are only looked for, not yet proved to be none."""

ASKS = 80
"""How often the worth of waxes may be asked anew for one bound."""

SUPPORTS = 3
"""How often what the programme in parts uses is laid out before it is asked in whole numbers."""

CENT = 0.01
"""Cost counts to this."""

NEAR = 1e-5
"""A cost as near its bound as this is the least."""

CROWDS = 6
"""Of choices with a flask fewer, the one of least crowding to this power: one flask too full is one too many."""

WAXES_EASY = 20
"""Up to so many waxes, the work of choosing among columns goes by the columns alone."""

NONE = np.zeros(0, dtype=bool)


@dataclass(frozen=True, slots=True)
class Effort:
    """How far a cover goes: sets at a level, columns listed, branches, rounds, work for a layout and for all."""

    sets: int
    """Sets of waxes carried on with at a level."""
    likely: int
    """Columns chosen among while a better plan is sought."""
    listed: int
    """Columns chosen among when all that a better plan could have are listed."""
    nodes: int
    """Branches of a programme in whole numbers."""
    rounds: int
    """How often what cannot be laid out is struck and the rest shared out again."""
    work: int
    """Work for a layout that a better plan hangs on."""
    layouts: int
    """Work for all layouts of the day, those before the cover among it."""
    weighed: int
    """Columns in all that are chosen among, whole programme by whole programme, those before among them."""

    @classmethod
    def of(cls, effort: int, bench: Bench) -> Effort:
        """Return how far units of effort go from where a bench stands."""
        return cls(
            sets=max(2_000, 200 * effort),
            likely=max(300, 10 * effort),
            listed=max(300, 60 * effort),
            nodes=max(100, 4 * effort),
            rounds=4 + effort // 25,
            work=32,
            layouts=bench.spent + 15 * effort,
            weighed=bench.weighed + 1_000 + 300 * effort,
        )


def goals_of(bench: Bench, loose: Sequence[str]) -> list[Goal]:
    """Return what the day aims at, in its order.

    Parameters
    ----------
    bench : Bench
        The day's waxes and its aim.
    loose : sequence of str
        Waxes that are in no fixed flask.

    Returns
    -------
    list of Goal
        First pieces left out, waxes left out, then flasks and cost as the day orders them.
    """
    firsts = {key: 1.0 for key in loose if bench.pieces[key].wax.piece == 1}
    flasks, cost = Goal("flasks", 1.0, 0.0, {}), Goal("cost", 0.0, 1.0, {})
    last = [cost, flasks] if bench.day.rules.aim is Aim.LEAST_MATERIAL else [flasks, cost]
    return [Goal("firsts", 0.0, 0.0, firsts), Goal("left", 0.0, 0.0, dict.fromkeys(loose, 1.0)), *last]


class Cover:
    """Some waxes of a day, the flasks left on the shelf, the best plan of them so far and its bounds."""

    def __init__(
        self,
        bench: Bench,
        needs: Needs,
        plan: Tried,
        spare: Mapping[str, int],
        effort: Effort,
        at_least: Mapping[Party, int],
        fixed: Flasks = (),
    ) -> None:
        self.bench, self.plan, self.effort, self.fixed = bench, plan, effort, fixed
        self.loose = sorted(plan.left.union(*(flask.keys for flask in plan.flasks)))
        self.ledger = Ledger(bench, spare, self.loose, at_least)
        self.stands: dict[str, list[tuple[Party, Stand]]] = {
            windows: list(stands_of(needs, self.loose, windows)) for windows in ("widest", "each")
        }
        self.strikes = Strikes(bench, self.ledger.columns)
        self.least: dict[str, float] = {}
        self._needs = needs
        for _, stand in self.stands["each"]:
            for block in stand.blocks:
                self.ledger.add(block.keys, stand.size)
        for flask in plan.flasks:
            self.ledger.add(flask.keys, flask.size)

    def value(self, goal: Goal, plan: Tried | None = None) -> float:
        """How a plan stands by a goal; by default the best one."""
        plan = plan or self.plan
        if goal.out:
            return sum(goal.out.get(key, 0.0) for key in plan.left)
        if goal.name == "firsts":
            return 0.0
        return float(len(plan.flasks)) if goal.per_flask else self.bench.cost_of(plan.flasks)

    def met(self, goal: Goal) -> bool:
        """True if no plan can better the best one in a goal whose bound is known."""
        return self.least[goal.name] >= self.value(goal) - (NEAR if goal.per_cost else 0.5)

    def pursue(self, goal: Goal, before: Sequence[Goal], slack: Mapping[str, float]) -> None:
        """Better the plan by a goal, and bound what plans no worse in the goals before can come to.

        Parameters
        ----------
        goal : Goal
            The goal.
        before : sequence of Goal
            Those before it, already pursued.
        slack : mapping of str to float
            By how much more than its bound each of those may be here in a plan of the whole day that
            is no worse than the whole day's.
        """
        self.least[goal.name] = 0.0
        if self.value(goal) <= EASE:
            return
        kept = [Kept(one, most_of(one, self.value(one))) for one in before]
        looser = [Kept(one, most_of(one, self.least[one.name] + slack.get(one.name, 0.0))) for one in before]
        looser = [max(one, other, key=lambda limit: limit.most) for one, other in zip(kept, looser, strict=True)]
        if goal.per_flask:
            self.least[goal.name] = self._needed(looser)
        worth, over = (None, 0.0) if self.met(goal) else self._bounded(goal, looser)
        if worth is None or self.met(goal):
            return
        self._sought(goal, kept, None, SEEK)
        if not self.met(goal):
            self._settled(goal, kept, worth, over, same=looser == kept)

    def _needed(self, kept: Sequence[Kept]) -> float:
        """Flasks that figures alone prove, a flask of its own for each wax that may stay out."""
        parties: dict[Party, list[Piece]] = {}
        for piece in (self.bench.pieces[key] for key in self.loose):
            if self._needs.sizes(piece):
                parties.setdefault(piece.party, []).append(piece)
        out = min((int(limit.most) for limit in kept if limit.goal.name == "left"), default=len(self.loose))
        return max(0.0, float(sum(self._needs.of(pieces).flasks for pieces in parties.values()) - out))

    def _may_stay_out(self, kept: Sequence[Kept]) -> frozenset[str]:
        """Waxes that may be left out: none once a plan leaves none."""
        if any(limit.goal.name == "left" and limit.most < 1 for limit in kept):
            return frozenset()
        return frozenset(key for key in self.loose if key not in self.bench.day.held)

    def _most_flasks(self, goal: Goal, kept: Sequence[Kept]) -> int:
        """No plan that matters has more flasks than this."""
        counts = [int(limit.most) for limit in kept if limit.goal.per_flask]
        counts += [int(self.value(goal))] if goal.per_flask else []
        return min([sum(self.ledger.spare.values()), len(self.loose), *counts])

    def _bounded(self, goal: Goal, kept: Sequence[Kept]) -> tuple[Worth | None, float]:
        """Raise the bound of a goal; return what it rests on, and the most that any flask earns by it."""
        out, most = self._may_stay_out(kept), self._most_flasks(goal, kept)
        best: tuple[float, Worth | None, float] = (-math.inf, None, 0.0)
        for _ in range(ASKS):
            parts = self.ledger.in_parts(goal, kept, out, NONE)
            if parts is None:
                break
            if self._priced(parts.worth, FEW)[0]:
                continue
            added, over = self._priced(parts.worth, self.effort.sets)
            if parts.worth.least - most * over > best[0]:
                best = parts.worth.least - most * over, parts.worth, over
                self.least[goal.name] = max(self.least[goal.name], _whole(goal, best[0]))
            if not added or self.met(goal) or (not goal.per_cost and math.ceil(best[0]) >= parts.least - EASE):
                break
        return best[1], best[2]

    def _priced(self, worth: Worth, sets: int) -> tuple[int, float]:
        """Enter the flasks that earn most; return how many are new, and the most that any can earn."""
        added, over = 0, 0.0
        for party, stand in self.stands["each" if worth.per_cost else "widest"]:
            asked = worth.asked(stand.size, party)
            found = stand.worth(worth.wax, asked, worth.per_cost, EASE, sets, LOOKED_AT)
            over = max(over, found.unseen)
            taken = 0
            for earns, keys in found.sets:
                if (keys, stand.size) in self.ledger.known or self._refuted(keys, stand.size):
                    continue
                over = max(over, earns)
                self.ledger.add(keys, stand.size)
                taken += 1
                if taken == PER_STAND:
                    break
            added += taken
        return added, over

    def _refuted(self, keys: frozenset[str], size: str) -> bool:
        """True if it is proved that these waxes share no flask of a size."""
        known = self.bench.refuted.get((keys, size))
        if known is None:
            footprints = [self.bench.pieces[key].footprint for key in sorted(keys)]
            known = not self.bench.melts(keys, size)
            known = known or (len(keys) > 2 and cannot_share(footprints, self.bench.bases[size]))
            self.bench.refuted[keys, size] = known
        return known

    def spent(self) -> bool:
        """True if no more work may be begun."""
        return self.bench.spent > self.effort.layouts or self.bench.weighed > self.effort.weighed

    def _weigh(self, numbers: Sequence[int]) -> None:
        """Count columns that are chosen among: more waxes make the choice harder by about the square."""
        self.bench.weighed += round(len(numbers) * max(1.0, len(self.loose) / WAXES_EASY) ** 2)

    def _sought(self, goal: Goal, kept: Sequence[Kept], only: Sequence[int] | None, work: int) -> bool:
        """Better the plan by flasks that can be laid out; True if it is."""
        out = self._may_stay_out(kept)
        value = self.value(goal)
        kept = [*kept, Kept(goal, value - (CENT / 2 if goal.per_cost else 0.5))]
        for _ in range(self.effort.rounds):
            if self.spent() or (only is None and not self._supported(goal, kept, out)):
                return False
            struck = self.strikes.out(work)
            numbers = [n for n in (range(len(self.ledger.columns)) if only is None else only) if not struck[n]]
            self._weigh(numbers)
            trouble = self.strikes.crowding[numbers] ** CROWDS if goal.per_flask and work > SEEK else None
            chosen = self.ledger.in_whole(goal, kept, out, numbers, self.effort.nodes, trouble).chosen
            if chosen is None:
                return False
            amiss = [number for number in chosen if not self.strikes.lays(number, work)]
            if not amiss:
                plan = self._plan_of(chosen)
                if plan is None or self.value(goal, plan) > value - EASE:
                    return False
                self.plan = plan
                return True
        return False

    def _supported(self, goal: Goal, kept: Sequence[Kept], out: frozenset[str]) -> bool:
        """Lay out what the programme in parts uses, striking what cannot be; False if nothing is left."""
        for _ in range(SUPPORTS):
            parts = self.ledger.in_parts(goal, kept, out, self.strikes.out(SEEK))
            if parts is None:
                return False
            many = len(self.ledger.columns)
            laid = [self.strikes.lays(number, SEEK) for number in parts.used]
            self._priced(parts.worth, FEW)
            if all(laid) and bool(self.strikes.out(SEEK)[many:].all()):
                break
        return True

    def _plan_of(self, chosen: Sequence[int]) -> Tried | None:
        """The plan of columns that can be laid out, each wax in the first that has it."""
        held = self.bench.day.held
        inside: set[str] = set()
        flasks: list[Flask] = []
        for number in chosen:
            column = self.ledger.columns[number]
            keys = column.keys - inside
            inside |= keys
            if keys and keys != column.keys and not self.bench.fits(keys, column.size, SEEK_HARD):
                return None
            label = next((held[key] for key in sorted(keys) if key in held), "")
            flasks += [Flask(column.size, keys, label)] if keys else []
        stands = self.bench.kiln_takes([*self.fixed, *flasks])
        return Tried(tuple(flasks), frozenset(self.loose) - inside) if stands else None

    def _settled(self, goal: Goal, kept: Sequence[Kept], worth: Worth, over: float, *, same: bool) -> None:
        """Choose among the flasks that a better plan could have: the likeliest, then all, if they can be listed."""
        while True:
            only, all_of_them = self._listed(goal, kept, worth, over, self.effort.likely)
            if not self._sought(goal, kept, only, self.effort.work):
                break
            if self.met(goal):
                return
        if not all_of_them:
            only, all_of_them = self._listed(goal, kept, worth, over, self.effort.listed)
        if not all_of_them or not same or self.spent():
            return
        self._weigh(only)
        value, out = self.value(goal), self._may_stay_out(kept)
        cap = Kept(goal, most_of(goal, value if goal.per_cost else value - 1))
        found = self.ledger.in_whole(goal, [*kept, cap], out, only, self.effort.nodes)
        proved = value if found.ended and found.chosen is None else min(value, found.least)
        self.least[goal.name] = max(self.least[goal.name], _whole(goal, proved))
        if not self.met(goal) and found.chosen is not None:
            self._sought(goal, kept, only, SEEK_HARD)

    def as_good(self, goal: Goal, kept: Sequence[Kept]) -> list[int]:
        """Columns that a plan no worse in a goal than the best could have, the likeliest."""
        self.least.setdefault(goal.name, 0.0)
        worth, over = self._bounded(goal, kept)
        return [] if worth is None else self._listed(goal, kept, worth, over, self.effort.likely)[0]

    def _listed(self, goal: Goal, kept: Sequence[Kept], worth: Worth, over: float, most: int) -> tuple[list[int], bool]:
        """Columns that a better plan could have, the likeliest first, beside the plan's; and whether they are all."""
        wanted = self.value(goal) - (0.0 if goal.per_cost else 1.0)
        floor = worth.least - self._most_flasks(goal, kept) * over + over - wanted - EASE
        listed: list[tuple[float, tuple[str, ...], str]] = []
        all_of_them, carried = True, max(FEW, min(self.effort.sets, 3 * most))
        for party, stand in self.stands["each" if worth.per_cost else "widest"]:
            asked = worth.asked(stand.size, party)
            found = stand.worth(worth.wax, asked, worth.per_cost, floor, carried, most)
            all_of_them = all_of_them and found.unseen <= floor
            listed += [(-earns, tuple(sorted(keys)), stand.size) for earns, keys in found.sets]
        numbers = {self.ledger.add(flask.keys, flask.size) for flask in self.plan.flasks}
        for _, keys, size in sorted(listed):
            if not self._refuted(frozenset(keys), size):
                numbers.add(self.ledger.add(frozenset(keys), size))
                if len(numbers) > most:
                    return sorted(numbers), False
        return sorted(numbers), all_of_them


def most_of(goal: Goal, value: float) -> float:
    """Return how far a goal may go in a plan that is no worse.

    Parameters
    ----------
    goal : Goal
        A goal.
    value : float
        How the plan stands by it [flasks, waxes, or the price's currency].

    Returns
    -------
    float
        Cost counts to 0.01, so a plan as dear may be that much dearer; counts are whole.
    """
    return value + (CENT if goal.per_cost else 0.5)


def _whole(goal: Goal, least: float) -> float:
    return least if goal.per_cost else float(math.ceil(least - 1e-4))
