"""The finished base on the scale: what its wax makes in metal, and how far it is from what the slips say."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from casting.calc.quantities.account.balance import read_in_other_unit
from casting.calc.values.caution_rule import Rulebook


@dataclass(frozen=True, slots=True)
class MountedWax:
    """The wax on a finished base as it was weighed, beside its slips.

    Attributes
    ----------
    wax_g : float
        Gross less the base: waxes with sprues, what joins them, and a tree's trunk [g].
    slips_g : float
        The waxes as they were handed in [g].
    slips_metal_g : float
        The metal that takes the place of those [g].
    trunk_g : float
        The metal of the trunk as planned; 0 on a cone [g].
    """

    wax_g: float
    slips_g: float
    slips_metal_g: float
    trunk_g: float = 0.0

    @property
    def metal_g(self) -> float:
        """The metal that takes the place of what was weighed [g]: all of it counts as the waxes on the slips do."""
        return self.wax_g * self.slips_metal_g / self.slips_g

    @property
    def expected_g(self) -> float:
        """What the slips, and a trunk of the same wax, let the scale show [g]."""
        return self.slips_g * (1 + self.trunk_g / self.slips_metal_g)

    @property
    def off_pct(self) -> float:
        """How much more than expected was weighed [%]; less is negative."""
        return 100 * (self.wax_g / self.expected_g - 1)


def base_slip(gross_g: float, base_g: float, expected_g: float, rulebook: Rulebook) -> str:
    """Return the unit in which a finished base may have been weighed in place of the one it was written in.

    Parameters
    ----------
    gross_g, base_g : float
        The finished base as written, and the base alone [g].
    expected_g : float
        The wax that the slips let expect [g].
    rulebook : Rulebook
        How near the factor must be.

    Returns
    -------
    str
        "dwt" if pennyweights were written as grams, "g" if grams as pennyweights, else nothing. The base alone is
        mostly known, so the whole is looked at with it, and, weighed together with it, without.
    """
    whole, wax, both = (Decimal(repr(round(one, 6))) for one in (gross_g, gross_g - base_g, base_g + expected_g))
    found = read_in_other_unit(whole, both, rulebook) if base_g else ""
    return found or read_in_other_unit(wax, Decimal(repr(round(expected_g, 6))), rulebook)
