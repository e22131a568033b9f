"""Why a plan cannot be done in fewer flasks, in a teacher's words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from casting.calc.flasks import Flasks
from casting.calc.needs import Need, Needs
from casting.calc.share import Party, Piece


def why_not_fewer(
    needs: Needs, flasks: Flasks, loose: Sequence[Piece], met: bool, number: int, parties: Mapping[Party, int]
) -> str:
    """Return a sentence for each alloy of the day's waxes, and one for the shelf if it binds.

    Parameters
    ----------
    needs : Needs
        Bounds of the day.
    flasks : tuple of Flask
        The plan's flasks.
    loose : sequence of Piece
        The waxes that are in no fixed flask and that some flask takes.
    met : bool
        Whether no plan leaves out fewer.
    number : int
        The fewest flasks that are proved to be needed.
    parties : mapping of Party to int
        The fewest that sharing out all waxes at once proved for each party.

    Returns
    -------
    str
        Sentences; a day without waxes needs no flask.
    """
    pieces = needs.rules.pieces.values()
    alloys = sorted({piece.wax.alloy for piece in pieces})
    if not alloys:
        return "There are no waxes, so no flask is needed."
    sentences, total = [], 0
    for alloy in alloys:
        sentence, least = _of_alloy(needs, flasks, loose, met, alloy, parties)
        sentences.append(sentence)
        total += least
    if met and number > total:
        sentences.append(f"All together at least {number}, because they want the same sizes of the shelf.")
    return " ".join(sentences)


def _of_alloy(
    needs: Needs, flasks: Flasks, loose: Sequence[Piece], met: bool, alloy: str, parties: Mapping[Party, int]
) -> tuple[str, int]:
    rules = needs.rules
    has = [flask for flask in flasks if rules.pieces[min(flask.keys)].wax.alloy == alloy]
    inside = {key for flask in has for key in flask.keys}
    mine = [piece for piece in loose if piece.wax.alloy == alloy]
    out = sum(piece.key not in inside for piece in mine)
    fixed = sum(flask.fixed for flask in has)
    bounds = []
    for party in sorted({piece.party for piece in mine}):
        own = [piece for piece in mine if piece.party == party]
        bounds.append(_stronger(needs.of(own), len(own), parties.get(party, 0)))
    least = max(fixed, fixed + sum(need.flasks for need in bounds) - out)
    reasons = [f"its {len(bounds)} owners or kinds share no flask"] if len(bounds) > 1 else []
    reasons += [f"{need.because}: {_flasks(need.flasks)}" for need in bounds if need.flasks > 1]
    if fixed:
        reasons.append(f"{fixed} stay as they were")
    if out:
        reasons.append(f"{_waxes(out)} left out")
    if not reasons:
        reasons = [f"{_waxes(len(mine))} {'needs' if len(mine) == 1 else 'need'} one"]
    return _sentence(rules.day.alloys[alloy].name, len(has), least, "; ".join(reasons), met), least


def _stronger(need: Need, waxes: int, proved: int) -> Need:
    """The reason in figures, or that all ways were weighed where this proved more."""
    if proved <= need.flasks:
        return need
    flasks = f"{proved - 1} flasks take" if proved > 2 else "one flask takes"
    return Need(
        proved, f"of all that its {_waxes(waxes)} could share by weight, section and place, no {flasks} them all"
    )


def _sentence(name: str, has: int, least: int, because: str, met: bool) -> str:
    flasks = _flasks(has)
    if not has:
        return f"{name}: no flask, as every wax of it is left out."
    if not met:
        return f"{name}: {flasks}. Waxes are left out that another plan might take, so fewer is not ruled out."
    if least == has:
        return f"{name} cannot be done in fewer than {flasks}, because {because}."
    return f"{name}: {flasks}, perhaps fewer: at least {least}, because {because}."


def _waxes(number: int) -> str:
    return "1 wax" if number == 1 else f"{number} waxes"


def _flasks(number: int) -> str:
    return "1 flask" if number == 1 else f"{number} flasks"
