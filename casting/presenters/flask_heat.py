"""How long a flask soaks and why, and how hot its core is on the way: the words beside its other figures.

The plan's own times and temperatures; what its core does follows from them by conduction.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.utils.translation import gettext as _

from casting.calc.quantities.flask_heat import core_behind_c, core_out_c, hot_at_quench, lost_c
from casting.calc.schedule.firing import soak_of
from casting.calc.values.day_plan import FiredSegment
from casting.calc.values.marked_text import HEAT, NEAREST, WARMER
from casting.presenters.formats import SchoolUnits, clock_time, plain
from casting.presenters.from_memory import flask_c_mark
from casting.presenters.lengths import length
from casting.presenters.plan_sheet import FlaskSheet, KilnNight, PlanSheet
from casting.presenters.wording import in_units


def heat_lines(flask: FlaskSheet, sheet: PlanSheet, units: SchoolUnits) -> list[str]:
    """Return the sentences about a flask's heat, with temperatures on the school's scale."""
    night = next(night for night in sheet.kilns if night.kiln.key == flask.kiln)
    lines = [_soak(flask, sheet, night), _ramp(flask, sheet, night), _way(flask, sheet, units)]
    if not flask.cools_in_air:
        lines.append(_quench(flask, sheet))
    return [in_units(line, units) for line in lines]


@dataclass(frozen=True, slots=True)
class HotCore:
    """What stands at the quench of a flask whose core is then too hot: a sentence, and few words for a card.

    It goes into water at `later`; None if its metal must not wait so long, so that people have to decide.
    """

    later: datetime | None
    words: str
    short: str


def hot_core(flask: FlaskSheet, sheet: PlanSheet, units: SchoolUnits) -> HotCore | None:
    """Return what stands at a flask's quench if its core is then too hot, with temperatures on the school's scale."""
    if flask.cools_in_air:
        return None
    hot = hot_at_quench(flask.size, flask.flask_c, _minutes(flask.quench_at, flask.out_at), sheet.day.rulebook)
    if hot is None:
        return None
    core_c, out_min = hot
    later = _after(flask.out_at, math.ceil(out_min), sheet)
    told = {
        "flask": flask.label,
        "later": clock_time(later),
        "at": clock_time(flask.quench_at),
        "core": f"{math.ceil(core_c)}{flask_c_mark(flask)}{NEAREST}{HEAT}",
    }
    by_min = flask.alloy.quench_by_min
    if by_min is None or out_min <= flask.rules.pour_min + by_min:
        words = _("Wait until %(later)s to quench %(flask)s: at %(at)s its core is still about %(core)s.") % told
        short = _("at %(at)s its core is about %(core)s") % told
        return HotCore(later, in_units(words, units), in_units(short, units))
    told["by"] = clock_time(_after(flask.out_at, math.floor(flask.rules.pour_min + by_min), sheet))
    words = _("Ask the teacher before you quench %(flask)s: at %(at)s its core is still about %(core)s. That is too "
              "hot until %(later)s, and the metal should be in water by %(by)s.") % told  # fmt: skip
    short = _("ask first: its core is about %(core)s") % told
    return HotCore(None, in_units(words, units), in_units(short, units))


def _after(at: datetime, minutes: int, sheet: PlanSheet) -> datetime:
    """So many minutes later, on the plan's clock, which may change meanwhile."""
    return (at.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(sheet.zone)


def _minutes(later: datetime, earlier: datetime) -> int:
    return round((later - earlier) / timedelta(minutes=1))


def _warmer(degrees_c: float) -> str:
    """A difference of temperatures, marked."""
    return f"{degrees_c:.0f}{NEAREST}{WARMER}"


def _soak(flask: FlaskSheet, sheet: PlanSheet, night: KilnNight) -> str:
    """The flask's own soak, and whether practice or its core asks for it."""
    falls = [one for one in night.segments[_rises(sheet, night) :] if round(one.to_c) == flask.flask_c]
    fall, book = falls[0], sheet.day.rulebook
    after_top = fall == night.segments[_rises(sheet, night)]
    soak = soak_of(flask.size, abs(fall.from_c - fall.to_c), after_top, book)
    told = {
        "soak": soak.needed_min,
        "within": _warmer(book.limit("core_within_c")),
        "core": math.ceil(soak.core_min),
        "practice": plain(soak.practice_min),
    }
    if soak.core_min > soak.practice_min:
        return _("Soak: %(soak)s min, until the core is within %(within)s of the kiln, from a slow estimate of "
                 "investment's conductivity. Practice is %(practice)s min.") % told  # fmt: skip
    return _("Soak: %(soak)s min, common practice. From a slow estimate of investment's conductivity the core is "
             "within %(within)s of the kiln after %(core)s min.") % told  # fmt: skip


def _rises(sheet: PlanSheet, night: KilnNight) -> int:
    """How many segments the firing itself has; the falls to the flask temperatures follow."""
    return next(len(firing.segments) for firing in sheet.day.firings if firing.key == night.firing)


def _ramp(flask: FlaskSheet, sheet: PlanSheet, night: KilnNight) -> str:
    """How far the core is behind as the kiln reaches its top, and at the end of the hold there."""
    fired, book = [], sheet.day.rulebook
    for one in night.segments[: _rises(sheet, night)]:
        starts, reached, ends = (_minutes(at, night.on_at) for at in (one.starts_at, one.reached_at, one.ends_at))
        fired.append(FiredSegment(one.ramp_c_per_h, one.to_c, one.hold_min, starts, reached, ends, one.cooling))
    top = max(fired, key=lambda one: one.to_c)
    behind, left = (core_behind_c(flask.size, fired, at, book) for at in (top.reached_at, top.ends_at))
    return _("As the kiln reaches %(top)s the core is about %(behind)s behind, and %(left)s after the %(hold)s min "
             "there; drying is not counted.") % {
        "top": f"{top.to_c:g}{NEAREST}{HEAT}", "behind": _warmer(behind), "left": _warmer(left), "hold": top.hold_min,
    }  # fmt: skip


def _way(flask: FlaskSheet, sheet: PlanSheet, units: SchoolUnits) -> str:
    """What the flask loses between kiln and pour."""
    book, rules = sheet.day.rulebook, sheet.day.rules
    minutes = min(book.limit("kiln_to_pour_min"), rules.pour_min)
    core, side = (lost_c(flask.size, flask.flask_c, minutes, book, depth) for depth in (None, flask.wall_mm))
    return _("In %(minutes)s min out of the kiln the core loses about %(core)s, the investment %(wall)s inside the "
             "wall about %(side)s.") % {
        "minutes": plain(minutes), "core": _warmer(core), "wall": length(flask.wall_mm, units), "side": _warmer(side),
    }  # fmt: skip


def _quench(flask: FlaskSheet, sheet: PlanSheet) -> str:
    """How hot the core is as the flask goes into water."""
    minutes = _minutes(flask.quench_at, flask.out_at)
    core_c = core_out_c(flask.size, flask.flask_c, minutes, sheet.day.rulebook)
    return _("At its quench, %(minutes)s min out of the kiln, the core is about %(core)s; the heat of the metal is not "
             "counted.") % {"minutes": minutes, "core": f"{core_c:.0f}{NEAREST}{HEAT}"}  # fmt: skip
