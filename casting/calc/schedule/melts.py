"""Which torch melts a charge, from when, and when its metal may be poured."""

from __future__ import annotations

from dataclasses import dataclass

from casting.calc.quantities.melt import cup_for, melt_min
from casting.calc.schedule.firing import whole_minutes
from casting.calc.values.day_input import Alloy, DayInput


@dataclass(frozen=True, slots=True)
class Melt:
    """A melt [min from the first pour]: `until` its metal is ready; `fresh_cup` if the torch had another cup before."""

    at: int
    until: int
    cup_ml: float
    fresh_cup: bool


@dataclass(slots=True)
class _Torch:
    """What a torch melted last, and when that metal has left it; None before its first melt."""

    cup: tuple[str, float] | None = None
    free_at: int | None = None


class Torches:
    """The torches of a day, each with one melt at a time, given out in the order of the pours.

    A torch without a pair of hands for it stays cold.
    """

    def __init__(self, day: DayInput) -> None:
        self.rules = day.rules
        self._torches = [_Torch() for _ in range(min(day.rules.torches, day.rules.hands))]
        to_pour = min(day.rulebook.limit("kiln_to_pour_min"), day.rules.pour_min)
        self._to_pour = whole_minutes(to_pour)

    def melt(self, charge_g: float, alloy: Alloy, not_before: int) -> Melt:
        """Take the torch that lets a charge be poured first.

        Parameters
        ----------
        charge_g : float
            The charge [g].
        alloy : Alloy
            The metal.
        not_before : int
            The earliest that its flask may be poured [min].

        Returns
        -------
        Melt
            As late as the pour allows. Of torches as early, the one whose melt is shortest.
        """
        cup = (alloy.key, cup_for(charge_g, alloy, self.rules))
        in_hot_cup = melt_min(charge_g, alloy, self.rules)
        found = []
        for nth, torch in enumerate(self._torches):
            takes = whole_minutes(in_hot_cup + (0 if torch.cup == cup else self.rules.cup_change_min))
            ready = not_before if torch.free_at is None else max(not_before, torch.free_at + takes)
            found.append((ready, takes, nth))
        ready, takes, nth = min(found)
        return self._taken(self._torches[nth], cup, ready - takes, ready)

    def melted(self, charge_g: float, alloy: Alloy, at: int) -> Melt:
        """Take the torch that was free first for a charge that was poured.

        Parameters
        ----------
        charge_g : float
            The charge [g].
        alloy : Alloy
            The metal.
        at : int
            When its flask was poured, as somebody noted [min].

        Returns
        -------
        Melt
            It ends then; it took as long as this metal takes in a hot cup.
        """
        cup = (alloy.key, cup_for(charge_g, alloy, self.rules))
        first = min(self._torches, key=lambda torch: (torch.free_at is not None, torch.free_at or 0))
        return self._taken(first, cup, at - whole_minutes(melt_min(charge_g, alloy, self.rules)), at)

    def _taken(self, torch: _Torch, cup: tuple[str, float], at: int, until: int) -> Melt:
        fresh = torch.cup not in (None, cup)
        torch.cup, torch.free_at = cup, until + self._to_pour
        return Melt(at, until, cup[1], fresh)
