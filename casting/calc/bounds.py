"""What no plan of the day can better: true lower bounds, and what a teacher is told of them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from casting.calc.day import SLACK, DayInput
from casting.calc.flasks import Bench, Flasks
from casting.calc.left_out import barred
from casting.calc.needs import EASE, Needs, by_reach
from casting.calc.result import LeftOut, Proof
from casting.calc.share import Party, Piece

NODES = 3000
"""Branches that the programme may open: work, not seconds, so that the answer is the same."""


def prove(bench: Bench, flasks: Flasks, left_out: Sequence[LeftOut]) -> Proof:
    """Return lower bounds over all plans no worse, and what the plan meets.

    Parameters
    ----------
    bench : Bench
        The day's rules.
    flasks : tuple of Flask
        The plan's flasks.
    left_out : sequence of LeftOut
        The waxes in none of them.

    Returns
    -------
    Proof
        Bounds hold with the whole stock, whatever sizes were set aside for the hours.

    Notes
    -----
    If the plan leaves out more than must be, plans no worse may leave out other waxes, so only
    the fixed and held flasks bound the rest.
    """
    fixed = tuple(flask for flask in flasks if flask.fixed)
    needs = Needs(bench, _usable(bench, fixed))
    inside = {key for flask in fixed for key in flask.keys}
    loose = [piece for key, piece in bench.pieces.items() if key not in inside]
    lost = [piece for piece in loose if not needs.sizes(piece) or barred(bench, piece.key)]
    loose = [piece for piece in loose if piece not in lost]
    lost_firsts = sum(piece.wax.piece == 1 for piece in lost)
    firsts = sum(bench.pieces[left.key].wax.piece == 1 for left in left_out)
    met = len(left_out) == len(lost) and firsts == lost_firsts
    programme = Programme(needs, loose)
    number = len(fixed) + (programme.fewest() if met else _named(bench, inside))
    cost = bench.total_cost(fixed)
    if met:
        most = None if bench.day.rules.aim == "least_material" else len(flasks) - len(fixed)
        cost = round(max(0.0, sum(bench.cost(f.keys, f.size) for f in fixed) + programme.least(most) - EASE), 2)
    flasks_proved = met and number == len(flasks)
    proved = flasks_proved and cost >= bench.total_cost(flasks) - 0.001
    why = _why(needs, flasks, loose, met)
    return Proof(len(lost), lost_firsts, number, cost, flasks_proved, proved, why)


def _named(bench: Bench, inside: set[str]) -> int:
    return len({label for key, label in bench.day.held.items() if key not in inside})


def _usable(bench: Bench, fixed: Flasks) -> frozenset[str]:
    """Sizes on the shelf beside the fixed flasks that some kiln and firing could take."""
    used = Counter(flask.size for flask in fixed)
    return frozenset(
        size.key for size in bench.day.flask_sizes if size.count > used[size.key] and _fires(bench.day, size.key)
    )


def _fires(day: DayInput, key: str) -> bool:
    size, rules = day.size(key), day.rules
    high = size.height_mm + rules.kiln_under_mm + rules.kiln_over_mm
    return any(
        high <= kiln.height_mm + SLACK
        and size.outside_mm + 2 * kiln.wall_gap_mm <= min(kiln.width_mm, kiln.depth_mm) + SLACK
        for kiln in day.kilns
    ) and any(
        size.diameter_mm <= firing.max_diameter_mm + SLACK and size.height_mm <= firing.max_height_mm + SLACK
        for firing in day.firings
    )


class Programme:
    """How many flasks of each size each party takes, under necessary conditions only."""

    def __init__(self, needs: Needs, pieces: Sequence[Piece]) -> None:
        self.needs = needs
        self.parties: Mapping[Party, list[Piece]] = {
            party: [piece for piece in pieces if piece.party == party]
            for party in sorted({piece.party for piece in pieces})
        }
        self.sizes = sorted(needs.usable)
        self.rows: list[tuple[dict[int, float], float]] = []
        for number, group in enumerate(self.parties.values()):
            self._ask(number, group)

    def _at(self, party: int, size: str) -> int:
        return party * (len(self.sizes) + 1) + self.sizes.index(size)

    def _button_at(self, party: int) -> int:
        return party * (len(self.sizes) + 1) + len(self.sizes)

    def _ask(self, party: int, pieces: list[Piece]) -> None:
        """Rows: sum of coefficients is at least a figure."""
        needs, most_g = self.needs, self.needs.most_g(pieces[0])
        for sizes, only in by_reach(needs, pieces).items():
            at = {size: self._at(party, size) for size in sizes}
            metal_g = sum(piece.metal_g for piece in only)
            shared_g = sum(piece.metal_g * (1 + needs.share(piece)) for piece in only)
            room = {size: most_g - needs.least_button_g(pieces[0], size) for size in sizes}
            self.rows += [
                ({at[size]: float(needs.rules.sizes[size].waxes_max) for size in sizes}, float(len(only))),
                ({at[size]: room[size] for size in sizes}, metal_g - EASE),
                ({at[size]: most_g for size in sizes}, shared_g - EASE),
                (dict.fromkeys(at.values(), 1.0), float(needs.of(only).flasks)),
            ]
        button = self._button_at(party)
        shares_g = sum(piece.metal_g * needs.share(piece) for piece in pieces)
        least = {self._at(party, size): -needs.least_button_g(pieces[0], size) for size in self.sizes}
        self.rows += [({button: 1.0}, shares_g - EASE), ({button: 1.0, **least}, -EASE)]

    def fewest(self) -> int:
        """The fewest flasks that the conditions leave."""
        by_party = sum(self.needs.of(pieces).flasks for pieces in self.parties.values())
        ones = {self._at(p, size): 1.0 for p in range(len(self.parties)) for size in self.sizes}
        return max(by_party, math.ceil(self._solve(ones, None) - 1e-4))

    def least(self, most_flasks: int | None) -> float:
        """The least cost that the conditions leave, with at most so many flasks."""
        day, prices = self.needs.rules.day, {}
        per_kg = day.investment.price_per_kg or 0.0
        for number, (party, _) in enumerate(self.parties.items()):
            per_g = (day.alloys[party[0]].price_per_g or 0.0) * day.rules.button_cost_pct / 100
            prices[self._button_at(number)] = per_g
            for size in self.sizes:
                prices[self._at(number, size)] = self.needs.rules.powder_g[size] * per_kg / 1000
        return self._solve(prices, most_flasks)

    def _solve(self, prices: Mapping[int, float], most_flasks: int | None) -> float:
        """The programme's proved lower bound; 0 if it proves none."""
        width = len(self.parties) * (len(self.sizes) + 1)
        if not width:
            return 0.0
        stock = {size: float(self.needs.rules.day.size(size).count) for size in self.sizes}
        rows = [*self.rows]
        for size in self.sizes:
            rows.append(({self._at(p, size): -1.0 for p in range(len(self.parties))}, -stock[size]))
        if most_flasks is not None:
            ones = {self._at(p, size): -1.0 for p in range(len(self.parties)) for size in self.sizes}
            rows.append((ones, -float(most_flasks)))
        matrix = np.zeros((len(rows), width))
        for number, (row, _) in enumerate(rows):
            matrix[number, list(row)] = list(row.values())
        aim, whole = np.zeros(width), np.ones(width, dtype=np.int64)
        aim[list(prices)] = list(prices.values())
        whole[[self._button_at(p) for p in range(len(self.parties))]] = 0
        found = milp(
            aim,
            integrality=whole,
            bounds=Bounds(0, np.inf),
            constraints=LinearConstraint(matrix, lb=[figure for _, figure in rows]),
            options={"node_limit": NODES, "mip_rel_gap": 0.0},
        )
        bound = found.get("mip_dual_bound")
        return 0.0 if bound is None or not math.isfinite(bound) else max(0.0, float(bound))


def _why(needs: Needs, flasks: Flasks, loose: Sequence[Piece], met: bool) -> str:
    day, rules = needs.rules.day, needs.rules
    sentences = []
    for key in sorted({piece.wax.alloy for piece in rules.pieces.values()}):
        name = day.alloys[key].name
        has = [flask for flask in flasks if rules.pieces[min(flask.keys)].wax.alloy == key]
        fixed = sum(flask.fixed for flask in has)
        parties = sorted({piece.party for piece in loose if piece.wax.alloy == key})
        bounds = [needs.of([piece for piece in loose if piece.party == party]) for party in parties]
        least = fixed + sum(need.flasks for need in bounds)
        reasons = [need.because for need in bounds]
        if fixed:
            reasons.append(f"{fixed} stay as they were")
        if len(parties) > 1:
            reasons.insert(0, f"{len(parties)} owners or kinds share no flask")
        sentences.append(_sentence(name, len(has), least, reasons, met))
    return " ".join(sentences)


def _sentence(name: str, has: int, least: int, reasons: Sequence[str], met: bool) -> str:
    because = "; ".join(reasons)
    flasks = "1 flask" if has == 1 else f"{has} flasks"
    if not has:
        return f"{name}: no flask, as every wax of it is left out."
    if not met:
        return f"{name}: {flasks}. Waxes are left out, so nothing is proved of fewer."
    if least == has:
        return f"{name} cannot be done in fewer than {flasks}, because {because}."
    return f"{name}: {flasks}, perhaps fewer: at least {least}, because {because}."
