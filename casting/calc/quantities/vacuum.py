"""Vacuum on a gauge: the air's pressure at a height, and what a gauge of either kind reads of a pressure."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

SEA_LEVEL_MBAR = 1013.25
SEA_LEVEL_K = 288.15
LAPSE_K_PER_M = 0.0065
EXPONENT = 9.80665 * 0.0289644 / (8.31432 * LAPSE_K_PER_M)
"""Gravity [m/s2] times molar mass of air [kg/mol] over gas constant [J/(mol K)] times lapse rate.

All four as in the U.S. Standard Atmosphere, 1976, which is the same as that of ICAO up to 11 km.
"""

MBAR_IN: Mapping[str, float] = {"inHg": 33.8638864, "mbar": 1.0, "kPa": 10.0, "bar": 1000.0, "mmHg": 1.33322387}
"""Millibars in one of each unit that a gauge may show."""

STEP: Mapping[str, float] = {"inHg": 0.1, "mbar": 1, "kPa": 0.1, "bar": 0.005, "mmHg": 1}
"""What a dial of each unit can be read to."""


def air_pressure_mbar(elevation_m: float) -> float:
    """Return the air's pressure at a height in the standard atmosphere.

    Parameters
    ----------
    elevation_m : float
        Height above the sea, below 11 km [m].

    Returns
    -------
    float
        The pressure [mbar]. Weather moves the true one by some tens of millibars.
    """
    return SEA_LEVEL_MBAR * math.pow(1 - LAPSE_K_PER_M * elevation_m / SEA_LEVEL_K, EXPONENT)


@dataclass(frozen=True, slots=True)
class Gauge:
    """A vacuum gauge: its unit, and whether it shows absolute pressure or how far that is below the room's air."""

    unit: str
    absolute: bool

    def pressure_mbar(self, reading: float, air_mbar: float) -> float:
        """Return the absolute pressure at a reading.

        Parameters
        ----------
        reading : float
            What the gauge shows [its unit], without a sign.
        air_mbar : float
            The room's air [mbar].

        Returns
        -------
        float
            The pressure [mbar]; below 0 for a reading that the air cannot give.
        """
        shown_mbar = reading * MBAR_IN[self.unit]
        return shown_mbar if self.absolute else air_mbar - shown_mbar

    def reading(self, pressure_mbar: float, air_mbar: float) -> float:
        """Return what the gauge shows of an absolute pressure.

        Parameters
        ----------
        pressure_mbar : float
            The absolute pressure [mbar].
        air_mbar : float
            The room's air [mbar].

        Returns
        -------
        float
            The reading [its unit].
        """
        shown_mbar = pressure_mbar if self.absolute else air_mbar - pressure_mbar
        return shown_mbar / MBAR_IN[self.unit]

    def reading_to_reach(self, pressure_mbar: float, air_mbar: float) -> float:
        """Return the reading at which a pressure is reached for certain, as far as the dial can be read.

        Parameters
        ----------
        pressure_mbar : float
            The absolute pressure to reach [mbar].
        air_mbar : float
            The room's air [mbar].

        Returns
        -------
        float
            The reading [its unit], to the next deeper step of the dial: down if absolute, else up.

        Examples
        --------
        >>> Gauge("inHg", absolute=False).reading_to_reach(65, air_pressure_mbar(1609))
        22.8
        >>> Gauge("kPa", absolute=True).reading_to_reach(65, air_pressure_mbar(1609))
        6.5
        """
        steps = self.reading(pressure_mbar, air_mbar) / STEP[self.unit]
        whole = math.floor(steps + 1e-9) if self.absolute else math.ceil(steps - 1e-9)
        return round(whole * STEP[self.unit], 3)

    def reaches(self, reading: float, pressure_mbar: float, air_mbar: float) -> bool:
        """Tell whether a reading is as deep as `reading_to_reach` asks.

        Parameters
        ----------
        reading : float
            What the gauge shows [its unit].
        pressure_mbar, air_mbar : float
            The pressure to reach, and the room's air [mbar].

        Returns
        -------
        bool
            True if it is.
        """
        wanted = self.reading_to_reach(pressure_mbar, air_mbar)
        return reading <= wanted + 1e-9 if self.absolute else reading >= wanted - 1e-9
