"""Readers of flask sizes, kilns, firings and house rules, each field with its range."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from casting.calc.geometry.from_day import room_above_mm
from casting.calc.geometry.verify_tree import NEAR_MOST_MM
from casting.calc.kiln.loading import is_high_enough
from casting.calc.quantities.lookup import by_diameter
from casting.calc.values.day_input import Firing as DayFiring
from casting.calc.values.day_input import FlaskSize, Kiln, Rules, Segment
from casting.calc.values.enums import Aim, Kind, Section
from casting.calc.values.sentence import Sentence, say
from casting.calc.values.tolerances import SLACK
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import shelf
from casting.dayfile.validation import (
    IN_C,
    IN_MM,
    Reader,
    celsius,
    check_list,
    check_object,
    check_text,
    choice,
    key_named,
    millimetres,
    nullable,
    number,
    read_fields,
    read_from_memory,
    read_items,
    refusal,
    said,
    step_in,
    table,
    too_hot,
    whole,
    yes_or_no,
)

RAMP_LEAST = 1
"""A ramp slower than 1 C an hour is a typing error."""
LENGTH_MAX_MM = 5000
TYPED_MOST_C = 5000
"""Above this a temperature is no slip between two scales."""
UNDER_A_DAY = number(least=0, most=1440)
"""Reader of a time [min] or a length [mm] of the rules; none is larger than 1440."""

SIZE: Mapping[str, Reader[Any]] = {
    "key": check_text,
    "diameter_mm": number(least=20, most=250, mend=say("give the inside diameter in {unit}", unit=IN_MM)),
    "outside_mm": number(over=0, most=500),
    "height_mm": number(over=0, most=1000),
    "count": whole(least=0, most=10_000),
    "base_mm": number(least=0, most=500),
    "hub_mm": number(over=0, most=500),
    "rim_mm": number(least=0, most=500),
    "cover_mm": number(least=0, most=500),
    "waxes_max": whole(least=1, most=1000),
    "mount": choice(("cone", "tree")),
    "trunk_mm": number(least=5, most=20, mend=say("give its diameter in {unit}", unit=IN_MM)),
    "trunk_gap_mm": number(least=4, most=NEAR_MOST_MM),
    "name": check_text,
    "from_memory": lambda value, place: read_from_memory(value, place, SIZE),
    "wall": choice(("solid", "perforated")),
    "sleeve_mm": number(over=0, most=500),
    "sleeve_height_mm": number(over=0, most=1000),
    "fill_mm": number(over=0, most=1000),
}
SLEEVE = ("sleeve_mm", "sleeve_height_mm", "fill_mm")
"""What only a perforated flask has."""
SIZE_OPTIONAL = SIZE.keys() - {"key", "diameter_mm", "height_mm", "count"}


def _kiln_c(value: object, place: str) -> float:
    """Return the highest temperature of a kiln."""
    heat_c = number(least=100, most=TYPED_MOST_C, mend=say("look at its plate, and give {unit}", unit=IN_C))(
        value, place
    )
    hottest_c = rulebook().limit("kiln_hottest_c")
    if heat_c > hottest_c:
        mend = say("Look at its plate, and give {unit}", unit=IN_C)
        raise too_hot(place, heat_c, hottest_c, "a burnout kiln", mend)
    return heat_c


KILN: Mapping[str, Reader[Any]] = {
    "key": check_text,
    "width_mm": number(over=0, most=LENGTH_MAX_MM),
    "depth_mm": number(over=0, most=LENGTH_MAX_MM),
    "height_mm": number(over=0, most=LENGTH_MAX_MM),
    "max_ramp_c_per_h": number(
        least=RAMP_LEAST, most=5000, mend=say("give the {unit} an hour that it climbs at full power", unit=IN_C)
    ),
    "cool_c_per_h": number(
        least=RAMP_LEAST, most=5000, mend=say("give the {unit} an hour that it falls by, door shut", unit=IN_C)
    ),
    "wall_gap_mm": number(least=0, most=1000),
    "max_c": _kiln_c,
    "name": check_text,
    "from_memory": lambda value, place: read_from_memory(value, place, KILN),
    "delayed_start": nullable(yes_or_no),
    "runs_program": nullable(yes_or_no),
}
KILN_OPTIONAL = ("wall_gap_mm", "max_c", "name", "from_memory", "delayed_start", "runs_program")


def read_size(value: object, place: str) -> FlaskSize:
    """Return one flask size; what is absent follows from the diameter and the base."""
    given = read_fields(value, place, SIZE, SIZE_OPTIONAL)
    tree = given.get("mount") == "tree"
    usual = _usual_size(given["diameter_mm"], tree) | given
    if given.get("wall") == "perforated":
        # Tape around the flask is a sleeve as wide as the outside and as high as the flask.
        usual = dict(zip(SLEEVE, (usual["outside_mm"], usual["height_mm"], usual["height_mm"]), strict=True)) | usual
    size = FlaskSize(**usual)
    if size.outside_mm < size.diameter_mm:
        raise refusal(
            step_in(place, "outside_mm"),
            size.outside_mm,
            say("the outside is smaller than the inside, {inside}", inside=millimetres(size.diameter_mm)),
            "measure both",
        )
    if tree:
        _refuse_no_tree(size, place)
    else:
        _refuse_trunk(given, place)
    _refuse_sleeve(size, given, place)
    return size


def _usual_size(diameter_mm: float, tree: bool) -> dict[str, Any]:
    """Return what a flask of that diameter has where its row says nothing."""
    usual = shelf().defaults
    least_mm = usual.tree_cover_mm_least if tree else usual.cover_mm_least
    waxes_max = usual.tree_waxes_max if tree else round(by_diameter(usual.waxes_max_by_diameter, diameter_mm))
    trunk = {"trunk_mm": float(usual.trunk_mm), "trunk_gap_mm": float(usual.trunk_gap_mm)} if tree else {}
    return trunk | {
        "outside_mm": diameter_mm + usual.outside_over_inside_mm,
        "base_mm": usual.base_mm,
        "hub_mm": by_diameter(usual.hub_mm_by_diameter, diameter_mm),
        "rim_mm": usual.rim_mm,
        "cover_mm": max(least_mm, diameter_mm * usual.cover_share_of_diameter),
        "waxes_max": waxes_max,
    }


def _refuse_trunk(given: Mapping[str, Any], place: str) -> None:
    for key in ("trunk_mm", "trunk_gap_mm"):
        if key in given:
            mend = said('write "mount": "tree" or take it out', "choose a tree or empty this box")
            raise refusal(step_in(place, key), given[key], "a cone has no trunk", mend)


def _refuse_sleeve(size: FlaskSize, given: Mapping[str, Any], place: str) -> None:
    """Refuse a sleeve around a solid flask, and one in which the investment does not stand or covers no wax."""
    if size.sleeve_mm is None or size.sleeve_height_mm is None or size.fill_mm is None:
        for key in SLEEVE:
            if key in given:
                mend = said('write "wall": "perforated" or take it out', "choose perforated or empty this box")
                raise refusal(step_in(place, key), given[key], "a solid flask has no sleeve", mend)
        return
    if size.sleeve_mm < size.diameter_mm - SLACK:
        wrong = say(
            "the sleeve is narrower than the inside of the flask, {inside}", inside=millimetres(size.diameter_mm)
        )
        raise refusal(step_in(place, "sleeve_mm"), size.sleeve_mm, wrong, "measure across the sleeve, inside")
    if size.fill_mm > size.sleeve_height_mm + SLACK:
        wrong = say("it runs over the sleeve, which is {height} high", height=millimetres(size.sleeve_height_mm))
        raise refusal(step_in(place, "fill_mm"), size.fill_mm, wrong, "fill less high, or take a higher sleeve")
    if size.fill_mm <= size.base_mm + size.cover_mm + SLACK:
        taken = millimetres(size.base_mm + size.cover_mm)
        wrong = say("base and cover alone take {taken}, so no height is left for a wax", taken=taken)
        raise refusal(step_in(place, "fill_mm"), size.fill_mm, wrong, "fill higher, and give the height to there")


def _refuse_no_tree(size: FlaskSize, place: str) -> None:
    assert size.trunk_mm is not None
    if size.trunk_mm > size.hub_mm + SLACK:
        wrong = say("the trunk is thicker than the cone it stands on, {cone}", cone=millimetres(size.hub_mm))
        mend = say("give a thinner trunk or a wider {figure}", figure=key_named("hub_mm"))
        raise refusal(step_in(place, "trunk_mm"), size.trunk_mm, wrong, mend)
    if room_above_mm(size) <= SLACK:
        taken_mm = size.height_mm - room_above_mm(size)
        wrong = say(
            "base, gap, cover and rim of its tree take {taken}, so no height is left for a wax",
            taken=millimetres(taken_mm),
        )
        raise refusal(step_in(place, "height_mm"), size.height_mm, wrong, "a tree is for a tall flask: take a cone")


def read_kiln(value: object, place: str) -> Kiln:
    """Return one kiln."""
    given = read_fields(value, place, KILN, KILN_OPTIONAL)
    return Kiln(**{"wall_gap_mm": shelf().defaults.kiln_wall_gap_mm} | given)


def read_firing(value: object, place: str, powder_max_c: float | None = None) -> DayFiring:
    """Return one firing, which rises to its top and then only falls, no hotter than its powder and its stones take."""
    firing = DayFiring(**read_fields(value, place, FIRING, ("from_memory",)))
    most_c, what, mend = _hottest(firing, powder_max_c)
    for nth, segment in enumerate(firing.segments):
        if segment.to_c > most_c:
            raise too_hot(f"{step_in(place, 'segments')}[{nth}].to_c", segment.to_c, most_c, what, mend)
    return firing


def _hottest(firing: DayFiring, powder_max_c: float | None) -> tuple[float, Sentence, Sentence]:
    """How hot a firing may be [degrees C], for what, and what to do if it is hotter."""
    stones_c, any_c = rulebook().limit("stones_top_c"), rulebook().limit("firing_hottest_c")
    if Kind.STONES in firing.kinds and stones_c <= min(any_c, powder_max_c or any_c):
        mend = say("Follow the powder maker's plan for stones, or take stones out of kinds")
        return stones_c, say("stones left in wax"), mend
    if powder_max_c is not None and powder_max_c < any_c:
        mend = say("Give a cooler firing in {unit}, or the powder's own limit", unit=IN_C)
        return powder_max_c, say("this powder"), mend
    return any_c, say("any investment"), say("Give a cooler firing in {unit}", unit=IN_C)


def _kinds(value: object, place: str) -> frozenset[Kind]:
    kinds: list[Kind] = []
    for nth, raw in enumerate(check_list(value, place)):
        if not isinstance(raw, str) or raw not in tuple(Kind) or raw in kinds:
            here = f"{place}[{nth}]"
            wrong, mend = "it is no kind of pattern, or stands twice", "take wax, resin or both, or stones alone"
            raise refusal(here, raw, wrong, mend)
        kinds.append(Kind(raw))
    if not kinds:
        raise refusal(place, [], "a firing is for some kind of pattern", "take wax, resin or both, or stones alone")
    if Kind.STONES in kinds and len(kinds) > 1:
        wrong = "wax and resin burn out only above what stones take"
        raise refusal(place, [kind.value for kind in kinds], wrong, "give stones a firing of their own")
    return frozenset(kinds)


def _segments(value: object, place: str) -> tuple[Segment, ...]:
    segments = read_items(value, place, _segment)
    if not segments:
        raise refusal(place, [], "a firing has at least one segment", "give its ramps and holds")
    for nth in range(1, len(segments)):
        before, here = segments[nth - 1].to_c, segments[nth].to_c
        later = max((segment.to_c for segment in segments[nth + 1 :]), default=here)
        if here < before and later > here:
            raise refusal(
                f"{place}[{nth}].to_c",
                here,
                say(
                    "the firing falls from {top} and rises again to {later}", top=celsius(before), later=celsius(later)
                ),
                "let it rise to its top, and from there only fall",
            )
    return segments


SEGMENT: Mapping[str, Reader[Any]] = {
    "ramp_c_per_h": number(
        least=RAMP_LEAST, most=5000, mend=say("give {unit} an hour, as fast as your kiln climbs if in doubt", unit=IN_C)
    ),
    "to_c": number(least=20, most=TYPED_MOST_C, mend=say("give {unit}", unit=IN_C)),
    "hold_min": number(least=0, most=10_000, mend="give minutes, 0 for no hold"),
}


def _segment(value: object, place: str) -> Segment:
    return Segment(**read_fields(value, place, SEGMENT))


FIRING: Mapping[str, Reader[Any]] = {
    "key": check_text,
    "max_diameter_mm": number(over=0, most=1000),
    "max_height_mm": number(over=0, most=2000),
    "kinds": _kinds,
    "segments": _segments,
    "from_memory": lambda value, place: read_from_memory(value, place, FIRING),
}


def refuse_too_tall(size: FlaskSize, kilns: Sequence[Kiln], rules: Rules, place: str = "") -> None:
    """Refuse a flask that is too tall for every kiln."""
    if kilns and not any(is_high_enough(kiln, rules, size.height_mm) for kiln in kilns):
        highest = max(kilns, key=lambda kiln: kiln.height_mm)
        room_mm = highest.height_mm - rules.kiln_under_mm - rules.kiln_over_mm
        wrong = say(
            "no kiln is high enough: {kiln} has {height}, of which {under} stay free under a flask and {over} over it, "
            "so it takes {room}",
            kiln=highest.called,
            height=millimetres(highest.height_mm),
            under=millimetres(rules.kiln_under_mm),
            over=millimetres(rules.kiln_over_mm),
            room=millimetres(room_mm),
        )
        raise refusal(step_in(place, "height_mm"), size.height_mm, wrong, "measure both, or enter a higher kiln first")


def read_rules(value: object, place: str, of_shelf: dict[str, object]) -> Rules:
    """Return the house rules, key by key from the file or the shelf."""
    given = {**of_shelf, **check_object(value, place)}
    rules = Rules(**read_fields(given, place, RULES, ("melter_min", "crucibles_ml", "from_memory")))
    for nth, cup_ml in enumerate(rules.crucibles_ml):
        if cup_ml > rules.crucible_ml:
            largest = key_named("crucible_ml")
            wrong = say("it holds more than {figure}, {ml}, which is the largest", figure=largest, ml=rules.crucible_ml)
            mend = say("give the largest as {figure}", figure=largest)
            raise refusal(f"{step_in(place, 'crucibles_ml')}[{nth}]", cup_ml, wrong, mend)
    return rules


def _button_pct(value: object, place: str) -> dict[Section, float]:
    """Return the button's share for each section; all four must be there."""
    shares = read_fields(value, place, dict.fromkeys(Section, number(least=0, most=100)))
    return {Section(section): share for section, share in shares.items()}


def _cups(value: object, place: str) -> tuple[float, ...]:
    return tuple(read_items(value, place, number(over=0, most=10_000)))


RULES: Mapping[str, Reader[Any]] = {
    "wall_mm": UNDER_A_DAY,
    "resin_wall_mm": UNDER_A_DAY,
    "between_mm": UNDER_A_DAY,
    "sprue_reach_mm": UNDER_A_DAY,
    "sprue_clear_mm": UNDER_A_DAY,
    "kiln_gap_mm": UNDER_A_DAY,
    "kiln_under_mm": UNDER_A_DAY,
    "kiln_over_mm": UNDER_A_DAY,
    "crucible_ml": number(over=0, most=10_000),
    "crucible_fill_pct": number(over=0, most=100),
    "melt_max_g": number(over=0, most=100_000),
    "button_pct": _button_pct,
    "button_g_by_diameter": table("grams", most=10_000),
    "charge_step_g": number(least=0.001, most=1000),
    "sections_may_differ_by": whole(least=0, most=3),
    "mix_pattern_kinds": yes_or_no,
    "bowl_ml": number(over=0, most=1_000_000),
    "bowl_extra_g": number(least=0, most=10_000),
    "flasks_per_bowl": whole(least=1, most=1000),
    "bowl_pitch_min": UNDER_A_DAY,
    "torches": whole(least=1, most=100),
    "hands": whole(least=1, most=1000),
    "pour_min": UNDER_A_DAY,
    "pitch_min": UNDER_A_DAY,
    "slack_min": UNDER_A_DAY,
    "mount_min_per_wax": UNDER_A_DAY,
    "mount_min_per_flask": UNDER_A_DAY,
    "mount_floor_min": UNDER_A_DAY,
    "button_cost_pct": number(least=0, most=100),
    "mixed_cost": number(least=0, most=1e6),
    "aim": choice(tuple(Aim)),
    "melt_w": number(least=20, most=100_000),
    "melt_set_up_min": UNDER_A_DAY,
    "cup_change_min": UNDER_A_DAY,
    "second_kiln_min": UNDER_A_DAY,
    "melter_min": nullable(UNDER_A_DAY),
    "crucibles_ml": _cups,
    "from_memory": lambda value, place: read_from_memory(value, place, RULES),
}
