"""Flask sizes, kilns, firings and house rules of a day file."""

from __future__ import annotations

from dataclasses import fields as fields_of
from dataclasses import replace
from typing import TypedDict

from casting.calc.geometry.from_day import room_above_mm
from casting.calc.geometry.verify_tree import NEAR_MOST_MM
from casting.calc.quantities.lookup import by_diameter
from casting.calc.values.day_input import Firing as DayFiring
from casting.calc.values.day_input import FlaskSize, Investment, Kiln, Rules, Segment
from casting.calc.values.enums import Aim, Kind, Section
from casting.calc.values.tolerances import SLACK
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import shelf
from casting.dayfile.validation import Fields, check_table, refusal

SIZE_KEYS = tuple(field.name for field in fields_of(FlaskSize))
KILN_KEYS = tuple(field.name for field in fields_of(Kiln))
FIRING_KEYS = tuple(field.name for field in fields_of(DayFiring))
SEGMENT_KEYS = tuple(field.name for field in fields_of(Segment))
RULE_KEYS = tuple(field.name for field in fields_of(Rules))

MOUNTS = ("cone", "tree")
RAMP_LEAST = 1
"""A slower ramp than 1 C an hour is a slip, not a firing."""
LENGTH_MAX_MM = 5000


class Range(TypedDict, total=False):
    """The range of a number."""

    over: float
    least: float
    most: float


UNDER_A_DAY = Range(least=0, most=1440)
"""Minutes, and mm as well: no rule of a bench is larger."""
RULE_RANGES = {
    "crucible_ml": Range(over=0, most=10_000),
    "crucible_fill_pct": Range(over=0, most=100),
    "melt_max_g": Range(over=0, most=100_000),
    "charge_step_g": Range(least=0.001, most=1000),
    "bowl_ml": Range(over=0, most=1_000_000),
    "bowl_extra_g": Range(least=0, most=10_000),
    "button_cost_pct": Range(least=0, most=100),
    "mixed_cost": Range(least=0, most=1e6),
}


def read_size(value: object, place: str) -> FlaskSize:
    """Return one flask size; what is absent follows from the diameter and the base."""
    fields, usual = Fields(value, place, SIZE_KEYS), shelf().defaults
    diameter_mm = fields.number("diameter_mm", least=20, most=250, mend="give the inside diameter in mm")
    outside_mm = fields.number("outside_mm", over=0, most=500, default=diameter_mm + usual.outside_over_inside_mm)
    if outside_mm < diameter_mm:
        raise refusal(
            fields.at("outside_mm"),
            outside_mm,
            f"the outside is smaller than the inside, {diameter_mm:g} mm",
            "measure both",
        )
    tree = fields.choice("mount", MOUNTS, default="cone") == "tree"
    cover_least_mm = usual.tree_cover_mm_least if tree else usual.cover_mm_least
    waxes_max = usual.tree_waxes_max if tree else round(by_diameter(usual.waxes_max_by_diameter, diameter_mm))
    size = FlaskSize(
        key=fields.text("key"),
        diameter_mm=diameter_mm,
        height_mm=fields.number("height_mm", over=0, most=1000),
        outside_mm=outside_mm,
        count=fields.whole("count", least=0, most=10_000),
        base_mm=fields.number("base_mm", least=0, most=500, default=usual.base_mm),
        hub_mm=fields.number("hub_mm", over=0, most=500, default=by_diameter(usual.hub_mm_by_diameter, diameter_mm)),
        rim_mm=fields.number("rim_mm", least=0, most=500, default=usual.rim_mm),
        cover_mm=fields.number(
            "cover_mm",
            least=0,
            most=500,
            default=max(cover_least_mm, diameter_mm * usual.cover_share_of_diameter),
        ),
        waxes_max=fields.whole("waxes_max", least=1, most=1000, default=waxes_max),
    )
    return _with_trunk(size, fields) if tree else _without_trunk(size, fields)


def _without_trunk(size: FlaskSize, fields: Fields) -> FlaskSize:
    for key in ("trunk_mm", "trunk_gap_mm"):
        if key in fields.values:
            raise refusal(
                fields.at(key), fields.values[key], "a cone has no trunk", 'write "mount": "tree" or take it out'
            )
    return size


def _with_trunk(size: FlaskSize, fields: Fields) -> FlaskSize:
    usual = shelf().defaults
    trunk_mm = fields.number("trunk_mm", least=5, most=20, default=usual.trunk_mm, mend="give its diameter in mm")
    gap_mm = fields.number("trunk_gap_mm", least=4, most=NEAR_MOST_MM, default=usual.trunk_gap_mm)
    tree = replace(size, mount="tree", trunk_mm=trunk_mm, trunk_gap_mm=gap_mm)
    if trunk_mm > size.hub_mm + SLACK:
        wrong = f"the trunk is thicker than the cone it stands on, {size.hub_mm:g} mm"
        raise refusal(fields.at("trunk_mm"), trunk_mm, wrong, "give a thinner trunk or a wider hub_mm")
    if room_above_mm(tree) <= SLACK:
        taken_mm = size.height_mm - room_above_mm(tree)
        wrong = f"base, gap, cover and rim of its tree take {taken_mm:g} mm, so no height is left for a wax"
        raise refusal(fields.at("height_mm"), size.height_mm, wrong, "a tree is for a tall flask: take a cone")
    return tree


def read_kiln(value: object, place: str) -> Kiln:
    """Return one kiln."""
    fields = Fields(value, place, KILN_KEYS)
    return Kiln(
        key=fields.text("key"),
        width_mm=fields.number("width_mm", over=0, most=LENGTH_MAX_MM),
        depth_mm=fields.number("depth_mm", over=0, most=LENGTH_MAX_MM),
        height_mm=fields.number("height_mm", over=0, most=LENGTH_MAX_MM),
        max_ramp_c_per_h=fields.number("max_ramp_c_per_h", least=RAMP_LEAST, most=5000),
        cool_c_per_h=fields.number("cool_c_per_h", least=RAMP_LEAST, most=5000),
        wall_gap_mm=fields.number("wall_gap_mm", least=0, most=1000, default=shelf().defaults.kiln_wall_gap_mm),
    )


def read_firing(value: object, place: str) -> DayFiring:
    """Return one firing, which rises to its top and from there only falls."""
    fields = Fields(value, place, FIRING_KEYS)
    kinds: list[Kind] = []
    for here, raw in fields.items("kinds"):
        if not isinstance(raw, str) or raw not in tuple(Kind) or raw in kinds:
            raise refusal(here, raw, "it is no kind of pattern, or stands twice", "take wax, resin or both")
        kinds.append(Kind(raw))
    if not kinds:
        raise refusal(fields.at("kinds"), [], "a firing is for some kind of pattern", "take wax, resin or both")
    segments = [_segment(raw, here) for here, raw in fields.items("segments")]
    _refuse_falling_before_top(segments, place)
    if not segments:
        raise refusal(fields.at("segments"), [], "a firing has at least one segment", "give its ramps and holds")
    return DayFiring(
        key=fields.text("key"),
        max_diameter_mm=fields.number("max_diameter_mm", over=0, most=1000),
        max_height_mm=fields.number("max_height_mm", over=0, most=2000),
        kinds=frozenset(kinds),
        segments=tuple(segments),
    )


def _refuse_falling_before_top(segments: list[Segment], place: str) -> None:
    for nth in range(1, len(segments)):
        before, here = segments[nth - 1].to_c, segments[nth].to_c
        later = max((segment.to_c for segment in segments[nth + 1 :]), default=here)
        if here < before and later > here:
            raise refusal(
                f"{place}.segments[{nth}].to_c",
                here,
                f"the firing falls from {before:g} C and rises again to {later:g} C",
                "let it rise to its top, and from there only fall",
            )


def _segment(value: object, place: str) -> Segment:
    fields = Fields(value, place, SEGMENT_KEYS)
    return Segment(
        ramp_c_per_h=fields.number("ramp_c_per_h", least=RAMP_LEAST, most=5000),
        to_c=fields.number("to_c", least=20, most=rulebook().limit("firing_hottest_c"), mend="is it in F? give C"),
        hold_min=fields.number("hold_min", least=0, most=10_000),
    )


def refuse_too_hot(firings: tuple[DayFiring, ...], investment: Investment) -> None:
    """Refuse a firing that is hotter than the investment may be."""
    for nth, firing in enumerate(firings):
        for step, segment in enumerate(firing.segments):
            if segment.to_c > investment.max_c:
                raise refusal(
                    f"firings[{nth}].segments[{step}].to_c",
                    segment.to_c,
                    f'the investment "{investment.key}" takes at most {investment.max_c:g} C',
                    "give a cooler firing or the powder's own limit",
                )


def read_rules(value: object, place: str, of_shelf: dict[str, object]) -> Rules:
    """Return the house rules, key by key from the file or the shelf."""
    given = Fields(value, place, RULE_KEYS)
    fields = Fields({**of_shelf, **given.values}, place, RULE_KEYS)

    def figure(key: str) -> float:
        return fields.number(key, **RULE_RANGES.get(key, UNDER_A_DAY))

    buttons = fields.take("button_g_by_diameter")
    return Rules(
        wall_mm=figure("wall_mm"),
        resin_wall_mm=figure("resin_wall_mm"),
        between_mm=figure("between_mm"),
        sprue_reach_mm=figure("sprue_reach_mm"),
        sprue_clear_mm=figure("sprue_clear_mm"),
        kiln_gap_mm=figure("kiln_gap_mm"),
        kiln_under_mm=figure("kiln_under_mm"),
        kiln_over_mm=figure("kiln_over_mm"),
        crucible_ml=figure("crucible_ml"),
        crucible_fill_pct=figure("crucible_fill_pct"),
        melt_max_g=figure("melt_max_g"),
        button_pct=_button_pct(fields),
        button_g_by_diameter=check_table(buttons, fields.at("button_g_by_diameter"), "grams", 10_000),
        charge_step_g=figure("charge_step_g"),
        sections_may_differ_by=fields.whole("sections_may_differ_by", least=0, most=3),
        mix_pattern_kinds=_yes_or_no(fields, "mix_pattern_kinds"),
        bowl_ml=figure("bowl_ml"),
        bowl_extra_g=figure("bowl_extra_g"),
        flasks_per_bowl=fields.whole("flasks_per_bowl", least=1, most=1000),
        bowl_pitch_min=figure("bowl_pitch_min"),
        torches=fields.whole("torches", least=1, most=100),
        hands=fields.whole("hands", least=1, most=1000),
        pour_min=figure("pour_min"),
        pitch_min=figure("pitch_min"),
        slack_min=figure("slack_min"),
        mount_min_per_wax=figure("mount_min_per_wax"),
        mount_min_per_flask=figure("mount_min_per_flask"),
        mount_floor_min=figure("mount_floor_min"),
        button_cost_pct=figure("button_cost_pct"),
        mixed_cost=figure("mixed_cost"),
        aim=fields.choice("aim", tuple(Aim)),
    )


def _yes_or_no(fields: Fields, key: str) -> bool:
    value = fields.take(key)
    if not isinstance(value, bool):
        raise refusal(fields.at(key), value, "it must be true or false", "write true or false without quotes")
    return value


def _button_pct(fields: Fields) -> dict[Section, float]:
    """Return the button's share for each section; all four must be there."""
    shares = Fields(fields.take("button_pct"), fields.at("button_pct"), tuple(Section))
    return {section: shares.number(section, least=0, most=100) for section in Section}
