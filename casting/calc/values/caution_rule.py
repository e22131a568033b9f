"""The rules of cautions and the limits that they and the plan obey, as values read from `fixtures/cautions.json`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from casting.calc.values.enums import Asked, Level


@dataclass(frozen=True, slots=True)
class Limit:
    """A figure that someone could dispute. Its name ends in its unit; `status` says how good its source is."""

    name: str
    value: float
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class CautionRule:
    """One rule: its level, when it is asked, its words, its source, and whether a teacher may clear it.

    `check` is what somebody ticks on the day, empty if it is nothing to tick. `signs` are ISO 7010 codes with
    their meaning; `status` says how good the source is. `materials` are the elements or materials that raise
    the rule; `limits` its figures, by name.
    """

    id: str
    level: Level
    when: Asked
    text: str
    signs: tuple[tuple[str, str], ...]
    basis: str
    status: str
    clearable: bool
    materials: frozenset[str] = frozenset()
    limits: Mapping[str, Limit] = field(default_factory=dict)
    check: str = ""


@dataclass(frozen=True, slots=True)
class Rulebook:
    """The rules by id, and the limits by name: those of the rules and those that belong to no caution."""

    rules: Mapping[str, CautionRule] = field(default_factory=dict)
    limits: Mapping[str, Limit] = field(default_factory=dict)

    def limit(self, name: str) -> float:
        """Return a limit.

        Parameters
        ----------
        name : str
            Its name in the file, for example "firing_top_high_c".

        Returns
        -------
        float
            The limit [the unit at the end of its name].

        Raises
        ------
        KeyError
            If no limit has that name.
        """
        return self.limits[name].value

    def materials(self, id: str) -> frozenset[str]:
        """Return the elements or materials that raise a rule; KeyError if there is no such rule."""
        return self.rules[id].materials
