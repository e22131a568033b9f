"""Which flasks take a wax, and if not, why: one line for each flask, and for an empty one of each size."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from casting.calc.advice.carrying import Answer, Verdict, on_trunk
from casting.calc.advice.on_tree import hang
from casting.calc.advice.why_here import why_here
from casting.calc.values.day_plan import Place
from casting.presenters.carrying_words import bill_words, in_one_line
from casting.presenters.formats import units_of
from casting.presenters.lengths import flask_size
from casting.presenters.standing import Standing
from casting.presenters.why_here import why_words
from school.models import School


@dataclass(frozen=True, slots=True)
class AnswerLine:
    """What a flask, or an empty one of a size, says to a wax. `verdict` is here, takes, refused or not_found."""

    label: str
    size: str
    name: str
    verdict: str
    words: str
    short: str

    @property
    def said_whole(self) -> bool:
        """Whether its words name the flask themselves."""
        return bool(self.label) and self.words.startswith(f"{self.label} ")

    @property
    def to(self) -> str:
        """Where a form carries the wax to: a label, or an empty flask of a size."""
        return self.label or f"size:{self.size}"

    @property
    def takes(self) -> bool:
        """Whether the wax can be put there: also where a layout is only looked for on putting down."""
        return self.verdict in ("takes", "not_found")


@dataclass(frozen=True, slots=True)
class Answers:
    """What every flask says to a wax in the order of the board, then each size that is empty; why it is where it is."""

    lines: tuple[AnswerLine, ...]
    why: tuple[str, ...]


def answers_for(standing: Standing, tag: str, school: School) -> Answers:
    """Return what every flask says to a wax of the day."""
    home, answers = standing.home(tag), standing.board.answers(tag)
    lines = [_line(standing, answer, tag, school) for answer in answers]
    lines.sort(key=lambda line: (not line.label, len(line.label), line.label))
    why = why_words(why_here(standing.board, tag, answers), tag, standing, school) if home else ()
    return Answers(tuple(lines), why)


def _line(standing: Standing, answer: Answer, tag: str, school: School) -> AnswerLine:
    sizes = {size.key: size for size in standing.day.day.flask_sizes}
    size = flask_size(sizes[answer.size], units_of(school)) if answer.size in sizes else answer.size
    name = answer.label or _("a new flask %(size)s") % {"size": size}
    verdict, words = answer.verdict.value, ""
    if answer.verdict == Verdict.REFUSED:
        words = in_one_line(answer.breaches, tag, answer.label, standing)
    elif answer.verdict == Verdict.NOT_FOUND:
        words = _("No layout found while the others stay; put it down to move them.")
    elif answer.verdict == Verdict.TAKES:
        words = bill_words(answer.price.more if answer.price else None, school)
    short = {Verdict.HERE: _("it is here"), Verdict.TAKES: _("takes it") + (f": {words}" if words else "")}
    return AnswerLine(answer.label, answer.size, name, verdict, words, short.get(answer.verdict, words))


def at_spot(standing: Standing, tag: str, label: str, spot: Place, tier: int = 0) -> dict[str, Any]:
    """Return what is in the way of a wax held over a spot, as a script reads it; nothing if it may stand there.

    On a tree `tier` is the one that it is held over.
    """
    standing.home(tag)
    board, flask = standing.board, standing.flask(label)
    if board.rules.bases[flask.size].trunk is None:
        refused = board.at(tag, label, spot)
    else:
        others = on_trunk({key: at for key, at in flask.spots.items() if key != tag})
        lacks = hang(board.rules, others, tag, flask.size, tier, spot).breaches
        refused = (*(() if tag in flask.keys else board.breaches(tag, label)), *lacks)
    return {"takes": not refused, "words": in_one_line(refused, tag, label, standing)}
