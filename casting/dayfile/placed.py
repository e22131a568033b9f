"""Reader of flasks made by hand, of waxes that are kept out, and of reach that a teacher overrules."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from typing import Any

from casting.calc.values.day_input import FlaskSize, Previous
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.errors import Refused
from casting.calc.values.placed import PlacedFlask, PlacedWax
from casting.calc.values.sentence import say, words
from casting.dayfile.validation import (
    Reader,
    check_object,
    check_text,
    number,
    read_fields,
    read_items,
    refusal,
    step_in,
    whole,
    yes_or_no,
)
from casting.dayfile.waxes import check_label, known

AWAY_MAX_MM = 200
"""No flask is wider, so no foot stands farther from the axis."""

SPOT = ("x_mm", "y_mm", "turn_deg")
ON_TREE = ("z_mm", "tier")
FROM_AXIS = number(least=-AWAY_MAX_MM, most=AWAY_MAX_MM, mend="give the middle of the wax, in mm from the axis")
WAX: Mapping[str, Reader[Any]] = {
    "key": check_text,
    "x_mm": FROM_AXIS,
    "y_mm": FROM_AXIS,
    "turn_deg": number(least=-360, most=360, mend="give its turn, in degrees"),
    "z_mm": number(least=0, most=1000, mend="give the height of its lower face, in mm"),
    "tier": whole(least=1, most=100),
}


def read_placed(
    value: object, place: str, sizes: Mapping[str, FlaskSize], done: Mapping[str, Previous], waxes: Collection[str]
) -> tuple[PlacedFlask, ...]:
    """Return the flasks made by hand.

    Parameters
    ----------
    value : object
        What should be a list of flasks.
    place : str
        Its place in the file.
    sizes : mapping of str to FlaskSize
        The day's sizes by key.
    done : mapping of str to Previous
        The fixed flasks by label; one of them may be given to keep its spots.
    waxes : collection of str
        The day's waxes.

    Returns
    -------
    tuple of PlacedFlask
        Positions to 0.001 mm and turns to 0.001 degrees, as a plan prints them.

    Raises
    ------
    Refused
        If a flask or wax stands twice or is not of the day, a spot is no spot, or a fixed flask would change.
    """
    flasks = read_items(value, place, lambda raw, here: _flask(raw, here, sizes, waxes))
    used, labels, seen = Counter(one.size for one in done.values()), set[str](), dict[str, str]()
    inside = {key: label for label, one in done.items() for key in one.waxes}
    for nth, flask in enumerate(flasks):
        here = f"{place}[{nth}]"
        if flask.label in waxes:
            raise refusal(f"{here}.label", flask.label, "a wax has this tag", "give the flask another letter")
        if flask.label in labels:
            raise refusal(f"{here}.label", flask.label, "another flask has this label", "give another")
        labels.add(flask.label)
        for row, wax in enumerate(flask.waxes):
            at = f"{here}.waxes[{row}].key"
            if wax.key in seen:
                wrong = say("it is already in flask {flask}", flask=seen[wax.key])
                raise refusal(at, wax.key, wrong, "a wax stands in one flask")
            if inside.get(wax.key, flask.label) != flask.label:
                wrong = say("it is in flask {flask}, which stays as it is", flask=inside[wax.key])
                raise refusal(at, wax.key, wrong, "take it out")
            seen[wax.key] = flask.label
        if flask.label in done:
            _refuse_changed(flask, done[flask.label], here)
            continue
        used[flask.size] += 1
        if used[flask.size] > sizes[flask.size].count:
            wrong = say("the day has {count} of them", count=sizes[flask.size].count)
            raise refusal(f"{here}.size", flask.size, wrong, "take another size")
    return flasks


def _flask(value: object, place: str, sizes: Mapping[str, FlaskSize], waxes: Collection[str]) -> PlacedFlask:
    rows = read_fields(
        value,
        place,
        {
            "label": check_label,
            "size": known(sizes),
            "whole": yes_or_no,
            "waxes": lambda raw, here: read_items(raw, here, lambda one, at: _wax(one, at, waxes)),
        },
        ("whole",),
    )
    flask = PlacedFlask(**rows)
    if not flask.waxes:
        raise Refused(f"{place}.waxes", "no wax stands in this flask; put one in, or take the flask out.")
    tree = sizes[flask.size].mount == "tree"
    for row, wax in enumerate(flask.waxes):
        here = f"{place}.waxes[{row}]"
        if wax.spot is not None and tree != isinstance(wax.spot, TreePlace):
            of_tree = words("z_mm and tier belong to a spot on a tree; give both.")
            raise Refused(here, of_tree if tree else words("z_mm and tier are of trees only; take them out."))
    if tree and flask.spots and not flask.is_laid_out:
        raise Refused(place, "a tree has the spots of all its waxes, and is whole, or has none; give all or none.")
    return flask


def _wax(value: object, place: str, waxes: Collection[str]) -> PlacedWax:
    row = read_fields(value, place, WAX, (*SPOT, *ON_TREE))
    if row["key"] not in waxes:
        raise refusal(step_in(place, "key"), row["key"], "no wax of the day has this key", "take it out")
    given = [key for key in SPOT if key in row]
    tiered = [key for key in ON_TREE if key in row]
    if len(given) not in (0, len(SPOT)) or len(tiered) not in (0, len(ON_TREE)) or (tiered and not given):
        raise Refused(place, "a spot is x_mm, y_mm and turn_deg, on a tree also z_mm and tier; give all or none.")
    if not given:
        return PlacedWax(row["key"])
    x_mm, y_mm, turn_deg = (round(row[key], 3) + 0.0 for key in SPOT)
    spot = x_mm, y_mm, round(turn_deg % 360, 3) % 360
    return PlacedWax(row["key"], TreePlace(*spot, round(row["z_mm"], 3), row["tier"]) if tiered else Place(*spot))


def _refuse_changed(flask: PlacedFlask, before: Previous, place: str) -> None:
    """Refuse another size or other waxes for a flask that is fixed."""
    if flask.size != before.size or flask.keys != set(before.waxes) or not flask.whole:
        wrong = say(
            "flask {flask} is invested or poured and stays as it was; put its waxes and size back.", flask=flask.label
        )
        raise Refused(place, wrong)


def read_kept_out(value: object, place: str, waxes: Collection[str], inside: Mapping[str, str]) -> frozenset[str]:
    """Return the waxes that the teacher leaves out.

    Parameters
    ----------
    value : object
        What should be a list of keys.
    place : str
        Its place in the file.
    waxes : collection of str
        The day's waxes.
    inside : mapping of str to str
        The flask of each wax that is placed, held or fixed.

    Returns
    -------
    frozenset of str
        Their keys.

    Raises
    ------
    Refused
        If a key is unknown, stands twice, or is kept in a flask too.
    """
    keys = read_items(value, place, check_text)
    for nth, key in enumerate(keys):
        here = f"{place}[{nth}]"
        if key not in waxes:
            raise refusal(here, key, "no wax of the day has this key", "take it out")
        if key in keys[:nth]:
            raise refusal(here, key, "it stands here twice", "take it out once")
        if key in inside:
            wrong = say("it is kept in flask {flask}", flask=inside[key])
            raise refusal(here, key, wrong, "take it out of one of the two")
    return frozenset(keys)


def read_reach_overruled(value: object, place: str, placed: Collection[PlacedFlask]) -> dict[str, str]:
    """Return why each wax may stand farther from the cone than the reach.

    Parameters
    ----------
    value : object
        What should be an object of reasons by key.
    place : str
        Its place in the file.
    placed : collection of PlacedFlask
        The flasks made by hand.

    Returns
    -------
    dict of str to str
        Reasons by wax.

    Raises
    ------
    Refused
        If a wax has no spot on a cone that was given by hand, or no reason.
    """
    spots = {key: spot for flask in placed for key, spot in flask.spots.items()}
    reasons = {}
    for key, reason in check_object(value, place).items():
        here = step_in(place, key)
        if key not in spots or isinstance(spots[key], TreePlace):
            raise Refused(here, "this wax has no spot on a cone in placed; give it one, or take the line out.")
        reasons[key] = check_text(reason, here)
    return reasons


def refuse_torn(placed: Collection[PlacedFlask], held: Mapping[str, str]) -> None:
    """Refuse a wax that is placed in one flask and held for another.

    Parameters
    ----------
    placed : collection of PlacedFlask
        The flasks made by hand.
    held : mapping of str to str
        The label that each held wax is kept for.

    Raises
    ------
    Refused
        At the wax in `placed`.
    """
    for nth, flask in enumerate(placed):
        for row, wax in enumerate(flask.waxes):
            if held.get(wax.key, flask.label) != flask.label:
                wrong = say("it is held for {flask}", flask=held[wax.key])
                raise refusal(f"placed[{nth}].waxes[{row}].key", wax.key, wrong, "keep it in one")
