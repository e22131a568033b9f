"""Lengths in the school's unit: mm, or inches with their mm beside them; flasks as makers sell them.

`formats` rounds the numbers. A sentence of the core has its lengths put in by `wording.in_units`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext_lazy as _

from casting.calc.values.day_input import FlaskSize
from casting.calc.values.enums import Section
from casting.calc.values.marked_text import FROM_MEMORY, mark
from casting.models import Wax
from casting.presenters.formats import NARROW_SPACE, SchoolUnits, decimals_down, decimals_up, plain, rounded
from casting.units import Length, from_millimetres

FRACTIONS = {Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾", Fraction(0): ""}
MM_PER_INCH = Decimal("25.4")
UNIT = "\ue011"
"""What stands for " mm" after the figures of a sentence, until the school's unit is known."""
_SIDE = rf"\d+(?:[.,]\d+)?(?:{re.escape(FROM_MEMORY)})?|…"
IN_SENTENCE = re.compile(rf"(?:({_SIDE}) x )?({_SIDE}){UNIT}")
SECTION_WORDS = {
    Section.VERY_THIN: _("very thin, under %(most)s"),
    Section.THIN: _("thin, %(least)s to %(most)s"),
    Section.MEDIUM: _("medium, %(least)s to %(most)s"),
    Section.HEAVY: _("heavy, above %(least)s"),
}
"""What a thickness is called where its ends are not in mm."""


def length(length_mm: float | Decimal, units: SchoolUnits) -> str:
    """Return a length in mm; where inches are read, in inches to the hundredth with its mm beside it."""
    return _beside(plain(length_mm), plain(rounded(_inches(length_mm))), units)


def short_length(length_mm: float | Decimal, units: SchoolUnits) -> str:
    """Return a length in the school's unit alone, for a drawing or a line of a table."""
    return length(length_mm, units).partition(" (")[0]


def sides(lengths_mm: Sequence[float | Decimal], units: SchoolUnits) -> str:
    """Return the sides of a thing as `length` says each: 22 × 8 × 33 mm."""
    in_mm, in_inches = ([plain(one) for one in lengths_mm], [plain(rounded(_inches(one))) for one in lengths_mm])
    return _beside(" × ".join(in_mm), " × ".join(in_inches), units)


def length_down(length_mm: float, units: SchoolUnits) -> str:
    """Return a clearance to the tenth of a mm, or to the hundredth of an inch, rounded down: it never reads as more."""
    return _beside(decimals_down(length_mm, 1), decimals_down(length_mm, 2, MM_PER_INCH), units)


def short_down(length_mm: float, units: SchoolUnits) -> str:
    """Return a clearance in the school's unit alone, for a drawing."""
    return length_down(length_mm, units).partition(" (")[0]


def length_up(length_mm: float, units: SchoolUnits) -> str:
    """Return what is more than allowed to the tenth of a mm, or to the hundredth of an inch, rounded up."""
    return _beside(decimals_up(length_mm, 1), decimals_up(length_mm, 2, MM_PER_INCH), units)


def _inches(length_mm: float | Decimal) -> Decimal:
    return from_millimetres(Decimal(str(round(length_mm, 9))), Length.INCH)


def _beside(in_mm: str, in_inches: str, units: SchoolUnits) -> str:
    metric = f"{in_mm}{NARROW_SPACE}mm"
    return f"{in_inches}{NARROW_SPACE}in ({metric})" if units.inches else metric


def in_sentence(sentence: str, units: SchoolUnits) -> str:
    """Return a sentence with the unit of its lengths, which stand before `UNIT`: inches beside their mm if read."""

    def worded(found: re.Match[str]) -> str:
        if not units.inches:
            return found[0].replace(UNIT, " mm")
        given = [side for side in found.groups() if side]
        if given == ["…"]:
            return "… in"
        in_inches = " x ".join(_side_in_inches(side) for side in given)
        return f"{in_inches}{NARROW_SPACE}in ({found[0].replace(UNIT, ' mm')})"

    return IN_SENTENCE.sub(worded, sentence).replace(UNIT, " mm")


def _side_in_inches(side: str) -> str:
    """A number of a sentence in inches, with the mark of a figure from memory if it has one."""
    in_mm = side.removesuffix(FROM_MEMORY)
    return plain(rounded(_inches(Decimal(in_mm.replace(",", "."))))) + side[len(in_mm) :]


def flask_size(size: FlaskSize, units: SchoolUnits) -> str:
    """Return a size's name, if it has one, and inside diameter by height: mm, or inches if they are whole quarters."""
    named = f"{size.name}, " if size.name and size.name != size.key else ""
    star = mark("diameter_mm", size.from_memory) or mark("height_mm", size.from_memory)
    return named + of_a_flask((size.diameter_mm, size.height_mm), units) + star


def flask_size_of(row: Mapping[str, Any], units: SchoolUnits) -> str:
    """Return a size of a day file's values as `flask_size` says it, without the mark of a figure from memory."""
    name = row.get("name") or ""
    named = f"{name}, " if name and name != row["key"] else ""
    return named + of_a_flask((row["diameter_mm"], row["height_mm"]), units)


def across(diameter_mm: float, units: SchoolUnits) -> str:
    """Return a flask's inside diameter in mm, or in inches if it is whole quarters of one and inches are read."""
    return of_a_flask([diameter_mm], units)


def of_a_flask(lengths_mm: Sequence[float], units: SchoolUnits) -> str:
    """Return lengths of a flask as makers sell it: in mm, or in inches and quarters where they are whole ones."""
    quarters = [_quarters(one) for one in lengths_mm] if units.inches else []
    if quarters and all(quarters):
        return f"{' × '.join(quarters)} in"
    return f"{' × '.join(plain(one) for one in lengths_mm)}{NARROW_SPACE}mm"


def _quarters(length_mm: float) -> str:
    """A length in inches and quarters; nothing where it is none."""
    quarters = Decimal(repr(length_mm)) / MM_PER_INCH * 4
    if abs(quarters - round(quarters)) > Decimal("0.005"):
        return ""
    whole, rest = divmod(Fraction(round(quarters), 4), 1)
    return f"{whole}{FRACTIONS[rest]}"


def section_in_words(section: Section, units: SchoolUnits) -> str:
    """Return a thickness with its ends in the school's unit."""
    if not units.inches:
        return str(Wax.Section(section).label)
    ends_mm = [one.from_mm for one in Section] + [0.0]
    least, most = (length(one, units) for one in ends_mm[section.step : section.step + 2])
    return str(SECTION_WORDS[section]) % {"least": least, "most": most}
