"""The house rules as boxes, under headings by what they measure: an empty box is the usual rule."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.calc.values.enums import Aim
from casting.forms.shelf.boxes import Box, NumberBox, WholeBox, length_box, mass_box
from casting.forms.shelf.columns import SECTION_WORDS, Cell, Column, Line, Rows, Texts
from casting.models.equipment import usual_rule
from casting.presenters.figure_words import what_of
from casting.presenters.formats import SchoolUnits
from casting.units import Count, NotUnderstood


@dataclass(frozen=True, slots=True)
class RuleGroup:
    """Rules that measure alike, under one heading; `slug` names its drawing, `note` says what belongs elsewhere."""

    slug: str
    called: Any
    rules: Mapping[str, Any]
    note: Any = ""


GROUPS: Sequence[RuleGroup] = (
    RuleGroup(
        "flask",
        _("Room in the flask"),
        {
            "wall_mm": _("Investment between a wax and the wall of its flask."),
            "resin_wall_mm": _("Resin asks for more investment around it, its makers say."),
            "between_mm": _("Investment between two waxes."),
            "sprue_reach_mm": _("How far from the cone's edge a sprue may stand. 0: on the cone only."),
            "sprue_clear_mm": _("So that a sprue can be reached with the tool past other waxes."),
            "sections_may_differ_by": _("0: thin work shares a flask with thin work only."),
            "mix_pattern_kinds": _("Resin needs a longer firing, so wax mostly has flasks of its own."),
        },
        _("The cover, investment over the waxes, belongs to each flask on the page Equipment."),
    ),
    RuleGroup(
        "button",
        _("Weights and buttons"),
        {
            "button_pct": _("Metal over the waxes that feeds them as they set, as a share of their metal."),
            "button_g_by_diameter": _(
                "No button is lighter, however little metal the waxes take. The widest row last."
            ),
            "charge_step_g": _("As fine as metal is weighed out."),
            "melt_max_g": _("More than this is never melted at once."),
            "crucible_ml": _("The largest crucible, measured with water."),
            "crucibles_ml": _("Others beside it, a row for each. Empty is none."),
            "crucible_fill_pct": _("So that metal does not run over as it is carried."),
        },
    ),
    RuleGroup(
        "minutes",
        _("Bench minutes"),
        {
            "mount_min_per_wax": _("One pair of hands, sprue to base."),
            "mount_min_per_flask": _("One pair of hands, base into flask, sleeve taped."),
            "mount_floor_min": _("Mounting is never planned shorter."),
            "bowl_ml": _("To the brim. A mix fills a third of it, as it rises under vacuum."),
            "bowl_extra_g": _("Powder that stays on bowl and beater."),
            "flasks_per_bowl": _("As many as are filled before it thickens."),
            "bowl_pitch_min": _("From powder meets water to the next time."),
            "melt_set_up_min": _("Charge and borax into the crucible, torch lit."),
            "melt_w": _("What goes into the metal, not what the torch burns. Time one melt."),
            "melter_min": _("Only with a furnace that takes this long for any charge. Empty: melts are by torch."),
            "cup_change_min": _("A fresh crucible warms up."),
            "pour_min": _("From the kiln's door to metal poured."),
            "pitch_min": _("Nobody starts the next pour sooner."),
        },
    ),
    RuleGroup(
        "kiln",
        _("Kiln"),
        {
            "kiln_gap_mm": _("Hot air has to pass between flasks."),
            "kiln_under_mm": _("Wax and air leave under the flasks: stilts or a grid."),
            "kiln_over_mm": _("Room over the flasks to the kiln's roof."),
            "slack_min": _("Spare time, if the kiln is slow or the class is late."),
            "second_kiln_min": _("0: each kiln is used if it helps at all."),
        },
        _("The room to a kiln's own wall belongs to each kiln on the page Equipment."),
    ),
    RuleGroup(
        "people",
        _("People"),
        {
            "hands": _("People who mount, carry and quench. With fewer than 3, quenches keep clear of pours."),
            "torches": _("As many melts at a time."),
        },
    ),
    RuleGroup(
        "plan",
        _("What a plan spares"),
        {
            "aim": _("Of two plans with as many pieces, the first thing that counts."),
            "button_cost_pct": _("What refining loses of a button and its sprues."),
            "mixed_cost": _("Added for each flask of more than one thickness, in the currency of the prices."),
        },
    ),
)
"""Every house rule under its heading, with what it means."""


class _UsualColumn(Column):
    """One rule in one box, or in one for each part; an empty one is the usual figure."""

    def __init__(self, name: str, box: Box, hint: Any) -> None:
        super().__init__(name, what_of(name), box, hint)

    def texts(self, value: Any) -> dict[str, str]:
        usual = self.split(usual_rule(self.name))
        return {
            part: "" if one == usual[part] else self.box_of(part).shown(one) for part, one in self.split(value).items()
        }

    def join(self, parts: Mapping[str, Any]) -> Any:
        given = {part: one for part, one in parts.items() if one is not None}
        return self.joined(self.split(usual_rule(self.name)) | given)

    def joined(self, parts: Mapping[str, Any]) -> Any:
        """Return the whole value of all parts."""
        return parts[""]


class _Shares(_UsualColumn):
    """A share for each thickness."""

    heads = (_("share"),)

    def lines(self, texts: Texts) -> list[Line]:
        return [Line([str(section)], word) for section, word in SECTION_WORDS.items()]

    def label_of(self, part: str, line: Line) -> Any:
        return f"{self.label}, {line.called}"

    def split(self, value: Any) -> dict[str, Any]:
        return {str(section): (value or {}).get(str(section)) for section in SECTION_WORDS}

    def joined(self, parts: Mapping[str, Any]) -> Any:
        return dict(parts)

    def part_at(self, inside: str, parts: Mapping[str, Any]) -> str:
        return inside or str(next(iter(SECTION_WORDS)))


class _UsualRows(Rows):
    """A table; one without a filled row is the usual one."""

    def __init__(self, name: str, cells: Sequence[Cell], hint: Any) -> None:
        super().__init__(name, what_of(name), cells, hint)

    def texts(self, value: Any) -> dict[str, str]:
        return {} if value == usual_rule(self.name) else super().texts(value)

    def join(self, parts: Mapping[str, Any]) -> Any:
        return super().join(parts) or usual_rule(self.name)


class _Cups(_UsualRows):
    """A list of crucibles, a row for each."""

    def rows_in(self, value: Any) -> Sequence[Sequence[Any]]:
        return [[cup] for cup in value or []]

    def value_of(self, rows: Sequence[Sequence[Any]]) -> Any:
        return [cup for (cup,) in rows]


@dataclass(frozen=True, slots=True)
class _UsualChoice(Box):
    """One of a closed list: its values by their names, with a word for each; the usual one stands as an empty text."""

    choices: tuple[tuple[str, Any, Any], ...] = ()
    usual: Any = None

    def shown(self, value: Any) -> str:
        return next((name for name, one, _word in self.choices if one == value), "")

    def read(self, text: str) -> Any:
        found = [one for name, one, _word in self.choices if name == text]
        if not found:
            raise NotUnderstood(gettext("That is not on the list. Choose one of it."), text)
        return found[0]

    def widget(self) -> forms.Widget:
        return forms.Select(choices=[("" if one == self.usual else name, word) for name, one, word in self.choices])


YES_NO = (("no", False, _("no")), ("yes", True, _("yes")))
AIMS = (
    (Aim.FEWEST_POURS.value, Aim.FEWEST_POURS.value, _("pours: the fewest flasks")),
    (Aim.LEAST_MATERIAL.value, Aim.LEAST_MATERIAL.value, _("material: the least of it")),
)
WHOLE = ("sections_may_differ_by", "flasks_per_bowl", "hands", "torches")
BY_UNIT: Mapping[str, Callable[[SchoolUnits], Box]] = {
    "mm": length_box,
    "g": mass_box,
    "pct": lambda _units: NumberBox("%", Count.PERCENT),
    "min": lambda _units: NumberBox("min", Count.MINUTE),
    "ml": lambda _units: NumberBox("ml"),
    "w": lambda _units: NumberBox("W"),
    "cost": lambda _units: NumberBox(),
    "wax": lambda _units: NumberBox("min", Count.MINUTE),
    "flask": lambda _units: NumberBox("min", Count.MINUTE),
}
"""The box of a number by the last word of its rule."""


def rule_columns(units: SchoolUnits) -> list[Column]:
    """Return a column for each house rule in the order of the page."""
    return [_column(name, hint, units) for group in GROUPS for name, hint in group.rules.items()]


def _column(name: str, hint: Any, units: SchoolUnits) -> Column:
    if name == "button_pct":
        return _Shares(name, BY_UNIT["pct"](units), hint)
    if name == "button_g_by_diameter":
        cells = [Cell("to", _("flasks up to"), length_box(units)), Cell("grams", _("button"), mass_box(units))]
        return _UsualRows(name, cells, hint)
    if name == "crucibles_ml":
        return _Cups(name, [Cell("cup", _("holds"), NumberBox("ml"))], hint)
    if name in ("mix_pattern_kinds", "aim"):
        choices = YES_NO if name == "mix_pattern_kinds" else AIMS
        return _UsualColumn(name, _UsualChoice(choices=choices, usual=usual_rule(name)), hint)
    return _UsualColumn(name, WholeBox() if name in WHOLE else BY_UNIT[name.rpartition("_")[2]](units), hint)
