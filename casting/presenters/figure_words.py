"""A figure of the shelf or the rulebook as people read it: what it is, and its value in the school's units.

A figure's name says what it is in, so one that is new is shown without a word here; `WHAT` says better what it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy
from django.utils.translation import pgettext

from casting.calc.values.marked_text import HEAT, NEAREST, RAMP, WARMER
from casting.presenters import formats
from casting.presenters.formats import SchoolUnits, rounded, units_of
from casting.presenters.lengths import length, short_length
from casting.presenters.wording import in_units
from casting.units import Mass, from_grams
from school.models import School

WHAT: Mapping[str, Promise] = {
    "composition_pct": lazy("what it is made of, by weight"),
    "specific_gravity": lazy("specific gravity"),
    "solidus_c": lazy("begins to melt (solidus)"),
    "liquidus_c": lazy("is all liquid (liquidus)"),
    "pour_c": lazy("metal temperature at the pour"),
    "flask_c.very_thin": lazy("flask temperature, very thin work"),
    "flask_c.thin": lazy("flask temperature, thin work"),
    "flask_c.medium": lazy("flask temperature, medium work"),
    "flask_c.heavy": lazy("flask temperature, heavy work"),
    "quench_min_by_diameter": lazy("wait from pour to quench, by the flask's width"),
    "quench_by_min": lazy("latest quench after the pour"),
    "price_per_g": lazy("price"),
    "price_per_kg": lazy("price"),
    "kind": lazy("kind"),
    "poison_gas": lazy("gives off acid or poison gas as it burns"),
    "heavy_smoke": lazy("makes heavy smoke"),
    "ash": lazy("leaves ash"),
    "unknown_plastic": lazy("is a plastic of unknown make"),
    "water_per_100": lazy("water to powder"),
    "allowance_pct": lazy("more powder than the flask holds"),
    "working_min": lazy("working time, from powder into water"),
    "set_min": lazy("bench set before the kiln"),
    "max_c": lazy("goes no hotter than"),
    "water_c": lazy("water of a mix"),
    "diameter_mm": lazy("inside diameter"),
    "outside_mm": lazy("outside diameter"),
    "height_mm": lazy("height"),
    "count": lazy("how many there are"),
    "base_mm": lazy("foot of the sprue base"),
    "hub_mm": lazy("width of the cone"),
    "rim_mm": lazy("free rim"),
    "cover_mm": lazy("investment over the waxes, at least"),
    "waxes_max": lazy("most waxes"),
    "mount": lazy("waxes stand on"),
    "trunk_mm": lazy("thickness of a tree's trunk"),
    "trunk_gap_mm": lazy("wax to trunk, at least"),
    "wall": lazy("wall"),
    "sleeve_mm": lazy("sleeve or tape, inside diameter"),
    "sleeve_height_mm": lazy("sleeve or tape, height"),
    "fill_mm": lazy("filled to, above the base's end"),
    "width_mm": lazy("chamber width"),
    "depth_mm": lazy("chamber depth"),
    "max_ramp_c_per_h": lazy("fastest ramp"),
    "cool_c_per_h": lazy("falls by about"),
    "wall_gap_mm": lazy("flask to kiln wall, at least"),
    "delayed_start": lazy("its controller can start later by itself"),
    "runs_program": lazy("its controller goes through ramps and holds by itself"),
    "max_diameter_mm": lazy("for flasks up to this wide"),
    "max_height_mm": lazy("for flasks up to this high"),
    "kinds": lazy("for patterns of"),
    "segments": lazy("ramps and holds"),
    "segments.to_c": lazy("its heat"),
    "segments.ramp_c_per_h": lazy("its ramp"),
    "segments.hold_min": lazy("its hold"),
    "wall_mm": lazy("wax to flask wall, at least"),
    "resin_wall_mm": lazy("resin to flask wall, at least"),
    "between_mm": lazy("wax to wax, at least"),
    "sprue_reach_mm": lazy("a sprue's foot outside the cone, at most"),
    "sprue_clear_mm": lazy("waxes stay off another's sprue by"),
    "kiln_gap_mm": lazy("flask to flask in the kiln, at least"),
    "kiln_under_mm": lazy("free under the flasks in the kiln"),
    "kiln_over_mm": lazy("free over the flasks in the kiln"),
    "crucible_ml": lazy("crucible, to the brim"),
    "crucible_fill_pct": lazy("fill the crucible to, at most"),
    "melt_max_g": lazy("most metal in one melt"),
    "melt_w": lazy("heat that a torch or furnace puts into the metal"),
    "melt_set_up_min": lazy("setting up a melt"),
    "melter_min": lazy("a furnace takes for a melt, whatever the charge"),
    "cup_change_min": lazy("changing to another crucible"),
    "crucibles_ml": lazy("smaller crucibles, to the brim"),
    "second_kiln_min": lazy("light one kiln more if the last pour is earlier by, at least"),
    "button_pct.very_thin": lazy("button's share of the metal, very thin work"),
    "button_pct.thin": lazy("button's share of the metal, thin work"),
    "button_pct.medium": lazy("button's share of the metal, medium work"),
    "button_pct.heavy": lazy("button's share of the metal, heavy work"),
    "button_pct": lazy("button's share of the metal"),
    "button_g_by_diameter": lazy("least button in sterling, by the flask's width"),
    "charge_step_g": lazy("charges are rounded up to"),
    "sections_may_differ_by": lazy("steps of thickness that may share a flask"),
    "mix_pattern_kinds": lazy("wax and resin may share a flask"),
    "bowl_ml": lazy("mixing bowl"),
    "bowl_extra_g": lazy("extra powder for what sticks to the bowl"),
    "flasks_per_bowl": lazy("flasks to a bowl, at most"),
    "bowl_pitch_min": lazy("from one bowl to the next, at least"),
    "torches": lazy("torches or furnaces"),
    "hands": lazy("pairs of hands"),
    "pour_min": lazy("a pour takes"),
    "pitch_min": lazy("from one pour to the next, at least"),
    "slack_min": lazy("the first flask is ready before its pour by"),
    "mount_min_per_wax": lazy("mounting, for each wax"),
    "mount_min_per_flask": lazy("mounting, for each flask"),
    "mount_floor_min": lazy("mounting, at least"),
    "button_cost_pct": lazy("a button costs this part of its metal"),
    "mixed_cost": lazy("cost of mixing sections in a flask"),
    "aim": lazy("a plan spares first"),
    "density_g_per_cm3": lazy("density"),
    "solid_j_per_g_k": lazy("heat to warm it, solid, by a degree Celsius"),
    "fusion_j_per_g": lazy("heat to melt it"),
    "liquid_j_per_g_k": lazy("heat to warm it, liquid, by a degree Celsius"),
    "hub_mm_by_diameter": lazy("width of the cone, by the flask's"),
    "waxes_max_by_diameter": lazy("most waxes on a cone, by the flask's width"),
    "cover_mm_least": lazy("investment over the waxes, at least"),
    "cover_share_of_diameter": lazy("investment over the waxes, of the width"),
    "outside_over_inside_mm": lazy("outside diameter, more than inside"),
    "kiln_wall_gap_mm": lazy("flask to kiln wall, at least"),
    "tree_cover_mm_least": lazy("investment over a tree, at least"),
    "tree_waxes_max": lazy("most waxes on a tree"),
}  # fmt: skip
"""What a figure is, in the words of the bench, by its name in a day file."""

VALUES: Mapping[str, Promise] = {
    "very_thin": lazy("very thin"),
    "thin": lazy("thin"),
    "medium": lazy("medium"),
    "heavy": lazy("heavy"),
    "wax": lazy("wax"),
    "resin": lazy("resin"),
    "stones": lazy("stones"),
    "gypsum": lazy("gypsum"),
    "phosphate": lazy("phosphate"),
    "unknown": lazy("unknown"),
    "STOP": lazy("STOP"),
    "WARN": lazy("WARN"),
    "SAY": lazy("SAY"),
    "cone": lazy("cone"),
    "solid": lazy("solid"),
    "perforated": lazy("perforated"),
    "tree": lazy("tree"),
    "fewest_pours": lazy("fewest pours"),
    "least_material": lazy("least material"),
}
"""What a word of a closed list is called."""

DIFFERENCES = (
    "superheat_high_c",
    "superheat_high_zinc_c",
    "superheat_most_c",
    "soak_short_to_c",
    "core_within_c",
    "rise_after_top_most_c",
)
"""Limits that are a difference of two temperatures."""
UNIT = re.compile(
    r"_(c_per_h|g_per_cm3|j_per_g_k|j_per_g|mm2_per_s|mj_per_m3_k|w_per_m2_k|ml_per_ml|g_per_100g|g_per_ml|per_adult|"
    r"years|mbar|ppm|min|pct|mm|ml|kg|c|g|h|s|w)$"
)
"""The unit at the end of a figure's name."""


def what_of(figure: str, words: Mapping[str, Promise] = WHAT) -> str:
    """Return what a figure is: the words for it, else those of its name without its unit."""
    return str(words[figure]) if figure in words else UNIT.sub("", figure).replace("_", " ").replace(".", ", ")


def word_of(value: str) -> str:
    """Return what a word of a closed list is called; any other as it is, without its underscores."""
    return str(VALUES[value]) if value in VALUES else value.replace("_", " ")


@dataclass(frozen=True, slots=True)
class Reader:
    """Writes figures for one school."""

    school: School

    @property
    def units(self) -> SchoolUnits:
        """The school's units."""
        return units_of(self.school)

    def lines(self, figure: str, value: Any) -> list[str]:
        """Return a figure's value, a line for each part of a table; "not recorded" and "none" are values too."""
        name = figure.partition(".")[0]
        if name in _SPECIAL:
            return _SPECIAL[name](self, value)
        if value is None:
            return [_("none") if name == "quench_by_min" else _("not recorded")]
        if name.endswith("_by_diameter"):
            head, up_to = name.removesuffix("_by_diameter"), pgettext("up to a figure", "to")
            return [f"{up_to} {self.short_length(width)}: {self.one(head, row)}" for width, row in value]
        if isinstance(value, list | tuple):
            return [f"{self.one(name, value[0])} {_('to')} {self.one(name, value[1])}"]
        return [self.one(name, value)]

    def one(self, name: str, value: Any) -> str:
        """Return a single value with the unit that its name ends in."""
        if isinstance(value, bool):
            return _("yes") if value else _("no")
        if isinstance(value, str):
            return word_of(value)
        named = re.sub(r"_(?:least|per_wax|per_flask)$", "", name)
        unit = (found := UNIT.search(named)) and found[1]
        write = _WRITERS.get(unit or "")
        if named in DIFFERENCES:
            return in_units(f"{value:g}{NEAREST}{WARMER}", self.units)
        return write(self, value) if write else formats.plain(value)

    def length(self, length_mm: float) -> str:
        """Return a length in the school's unit."""
        return length(length_mm, self.units)

    def short_length(self, length_mm: float) -> str:
        """Return a length in the school's unit alone, for a line of a table."""
        return short_length(length_mm, self.units)

    def weight(self, weight_g: float) -> str:
        """Return a weight on the school's scale, in grams beside it if that is another."""
        first = formats.other_weight(weight_g, self.units)
        grams = f"{formats.plain(weight_g)}{formats.NARROW_SPACE}g"
        return f"{first} ({grams})" if first else grams

    def price(self, price: float | None, a: str, a_gram: bool = False) -> list[str]:
        """Return a price as it is recorded, and what that makes in the school's own unit of weight."""
        if price is None:
            return [_("not recorded")]
        lines = [f"{self._amount(price)} {a}"]
        if a_gram and self.units.weight is not Mass.GRAM:
            of_unit = rounded(price / float(from_grams(Decimal(1), self.units.weight)))
            lines.append(_("%(price)s a %(unit)s") % {"price": self._amount(of_unit), "unit": self.units.weight.value})
        return lines

    def _amount(self, price: float | Decimal) -> str:
        """A price with two decimals, or as many as it has."""
        exact = Decimal(str(price)) == rounded(price)
        return f"{formats.decimals(price, 2) if exact else formats.plain(price)} {self.school.currency}".strip()

    def composition(self, parts: Mapping[str, float | None] | None) -> list[str]:
        """Return the parts of a metal."""
        if not parts:
            return [_("not recorded")]
        known = {sign: _("not recorded") if share is None else self.one("_pct", share) for sign, share in parts.items()}
        return [", ".join(f"{sign}{formats.NARROW_SPACE}{share}" for sign, share in known.items())]

    def segments(self, segments: Sequence[Mapping[str, float]]) -> list[str]:
        """Return the ramps and holds of a firing, a line for each."""
        line = _("%(ramp)s to %(heat)s, hold %(hold)s")
        return [
            line % {
                "ramp": formats.ramp(one["ramp_c_per_h"], self.units),
                "heat": formats.degrees(one["to_c"], self.units),
                "hold": formats.minutes(round(one["hold_min"])),
            }
            for one in segments
        ]  # fmt: skip


def _with(unit: str | Promise) -> Callable[[Reader, float], str]:
    return lambda _reader, value: f"{formats.plain(value)}{formats.NARROW_SPACE}{unit}"


def _minutes(_reader: Reader, value: float) -> str:
    """Minutes as hours and minutes; those with a decimal as they are."""
    return formats.minutes(round(value)) if value == round(value) else f"{formats.plain(value)} min"


_WRITERS: Mapping[str, Callable[[Reader, float], str]] = {
    "c": lambda reader, value: formats.degrees(value, reader.units),
    "c_per_h": lambda reader, value: formats.ramp(value, reader.units),
    "mm": Reader.length,
    "g": Reader.weight,
    "min": _minutes,
    "pct": _with("%"),
    "ml": _with("ml"),
    "kg": _with("kg"),
    "h": _with("h"),
    "s": _with("s"),
    "w": _with("W"),
    "ppm": _with("ppm"),
    "mbar": _with("mbar"),
    "years": _with(lazy("years")),
    "g_per_cm3": _with("g/cm³"),
    "j_per_g_k": _with("J/g"),
    "j_per_g": _with("J/g"),
    "mm2_per_s": _with("mm²/s"),
    "mj_per_m3_k": _with("MJ/(m³ K)"),
    "w_per_m2_k": _with("W/(m² K)"),
    "g_per_ml": _with("g/ml"),
    "g_per_100g": _with(lazy("g to 100 g")),
    "ml_per_ml": _with(lazy("times")),
    "per_adult": _with(lazy("to an adult")),
}
_SPECIAL: Mapping[str, Callable[[Reader, Any], list[str]]] = {
    "composition_pct": Reader.composition,
    "segments": Reader.segments,
    "crucibles_ml": lambda reader, cups: [", ".join(reader.one("_ml", cup) for cup in cups) or _("none")],
    "kinds": lambda _reader, value: [_(" and ").join(word_of(one) for one in sorted(value, reverse=True))],
    "price_per_g": lambda reader, value: reader.price(value, _("a gram"), a_gram=True),
    "price_per_kg": lambda reader, value: reader.price(value, _("a kilogram")),
    "water_per_100": lambda _reader, value: [_("%(water)s g to 100 g of powder") % {"water": formats.plain(value)}],
    "cover_share_of_diameter": lambda _reader, value: [f"{formats.plain(value * 100)} %"],
}


def limit_line(reader: Reader, name: str, value: float, words: str) -> str:
    """Return a limit's value; a temperature that stands in its rule's words is rounded as it is there."""
    found = re.search(rf"(about )?{{{name}}}([\u202f\u00a0\u2007])({RAMP}|{HEAT}|{WARMER})", words)
    if found and name not in DIFFERENCES:
        return in_units(f"{found[1] or ''}{value:g}{found[2]}{found[3]}", reader.units)
    return capfirst(reader.one(name, value))
