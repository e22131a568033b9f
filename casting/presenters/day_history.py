"""What was changed of a casting day, on its bench or of the safety record, by whom and when, in sentences."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.utils.dateformat import format as date_format
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do, Tick
from casting.models import (
    Alloy,
    BenchChange,
    CastingDay,
    DayChange,
    FlaskMishap,
    FlaskSize,
    Kiln,
    Recast,
    SafetyChange,
    SafetyRecord,
)
from casting.models.safety import FACT_NAMES, PLACE_NAMES
from casting.presenters.changes import Change, moved
from casting.presenters.formats import degrees, on_clock_of, plain, units_of, weighed_on
from casting.presenters.lengths import length
from school.models import School

Names = Mapping[str, str]


def history_of_day(day: CastingDay) -> list[Change]:
    """Return each change of a day in words, in the order in which they were made. Five queries at most.

    Of the bench, what was corrected or taken back: what was noted once stands with its flask.
    """
    changes, school = list(day.changes.select_related("by_person")), day.course.school
    corrected = list(day.bench_changes.filter(before__isnull=False).select_related("by_person"))
    names = _names(school) if corrected or any(change.before for change in changes) else {}
    told = [Change(_who(one), one.at, _words(one, names, school)) for one in changes]
    told += [Change(_who(one), one.at, _of_the_bench(one, names, school)) for one in corrected]
    return sorted(told, key=lambda one: one.at)


def history_of_record(record: SafetyRecord) -> list[Change]:
    """Return each change of a school's record in words, in the order in which they were made. One query."""
    if not record.pk:
        return []
    changes = SafetyChange.objects.filter(record=record).select_related("by_person")
    return [Change(_who(one), one.at, _answers(one)) for one in changes]


def _who(change: BenchChange | DayChange | SafetyChange) -> str:
    return change.by_person.name if change.by_person else ""


def _names(school: School) -> Names:
    """What metals, flask sizes and kilns are called, by kind and key."""
    kinds = (("alloys", Alloy), ("sizes_used", FlaskSize), ("kilns_used", Kiln))
    return {
        f"{kind}.{key}": name
        for kind, model in kinds
        for key, name in model._default_manager.filter(school=school).values_list("key", "name")
    }


def _words(change: DayChange, names: Names, school: School) -> str:
    before, after = change.before, change.after
    if before is None:
        return _("announced")
    if "state" in after:
        why = after.get("why", "")
        return f"{STATES[after['state']]()}{': ' + why if why else ''}"
    now, old = _told(after, names, school), _told(before, names, school)
    return moved((label, now[label], old[label]) for label in now)


def _of_the_bench(change: BenchChange, names: Names, school: School) -> str:
    """A note of the bench that was corrected or taken back, with what stood there before."""
    if change.do in WENT_WRONG:
        now, was = (_went_wrong(one) for one in (change.after, change.before))
        return moved([(WENT_WRONG[change.do]() % {"what": change.what}, now, was)])
    step = BENCH.get(change.do, lambda: _("step %(what)s"))()
    what = names.get(f"kilns_used.{change.what}", change.what) if change.do == Do.KILN_ON else change.what
    now = _noted(change.after, school) if change.after else _("taken back")
    return moved([(step % {"what": what}, now, _noted(change.before or {}, school))])


def _went_wrong(note: Mapping[str, Any] | None) -> str:
    """What went wrong with a flask and what was left, or what becomes of a piece, as it was noted."""
    if not note:
        return _("taken back")
    if "fate" in note:
        return str(Recast.Fate(note["fate"]).label)
    if "place" in note:
        return note["place"] or _("none")
    if "pays" in note:
        return str(Recast.Pays(note["pays"]).label) if note["pays"] else _("not decided")
    return f"{FlaskMishap.Kind(note['kind']).label} ({FlaskMishap.Left(note['left']).label})"


def _noted(note: Mapping[str, Any], school: School) -> str:
    """What was weighed or read, when something was noted as done, and by whom."""
    at = ", ".join(part for part in (_read(note.get("figures", {}), school), _instant(note["at"], school)) if part)
    return f"{at} ({note['who']})" if note["who"] else at


def _read(figures: Mapping[str, Any], school: School) -> str:
    """What was weighed or read, in the school's units."""
    units = units_of(school)
    if "gross_g" in figures:
        gross, alone = (weighed_on(Decimal(figures[name]), units) for name in ("gross_g", "base_g"))
        return f"{gross} \N{MINUS SIGN} {alone}"
    if "water_g" in figures:
        return f"{plain(Decimal(figures['water_g']))} g"
    if sprue := [length(Decimal(figures[name]), units) for name in ("thick_mm", "long_mm") if name in figures]:
        return " \N{MULTIPLICATION SIGN} ".join(sprue)
    if "celsius" in figures:
        return degrees(figures["celsius"], units)
    if "reading" in figures:
        return f"{plain(figures['reading'])} {figures.get('unit', '')}".strip()
    return f"{plain(figures['min'])} min" if "min" in figures else ""


WENT_WRONG: Mapping[str, Callable[[], str]] = {
    "mishap": lambda: _("mishap of flask %(what)s:"),
    "piece": lambda: _("piece %(what)s:"),
    "place": lambda: _("place to cast %(what)s again:"),
    "pays": lambda: _("who pays for the first casting of %(what)s:"),
}
"""What went wrong on the bench, by its step."""
BENCH: Mapping[str, Callable[[], str]] = {
    Tick.WEIGHED: lambda: _("base of flask %(what)s weighed"),
    Tick.PHOTO: lambda: _("photo of base %(what)s"),
    Tick.WATER: lambda: _("water for %(what)s read"),
    Tick.WATER_G: lambda: _("water for %(what)s weighed"),
    Tick.MIXING: lambda: _("powder for %(what)s in the water"),
    Tick.BELL: lambda: _("gauge for %(what)s read"),
    Tick.GLOSS: lambda: _("gloss of %(what)s gone"),
    Do.MIX: lambda: _("flask %(what)s invested"),
    Do.KILN_ON: lambda: _("%(what)s on"),
    Do.POUR: lambda: _("flask %(what)s poured"),
    Tick.POUR_GAUGE: lambda: _("gauge at the pour of %(what)s read"),
    Do.QUENCH: lambda: _("flask %(what)s quenched"),
    Tick.COLLECTED: lambda: _("wax %(what)s given back"),
    Tick.SPRUE: lambda: _("sprue of %(what)s measured"),
}
"""What is corrected on the bench, by its step."""
STATES = {
    "cancelled": lambda: _("cancelled"),
    "not cancelled": lambda: _("takes place after all"),
    "ended": lambda: _("closed"),
    "not ended": lambda: _("opened again"),
}
"""What happened to a day as a whole."""


def _told(values: Mapping[str, Any], names: Names, school: School) -> dict[str, str]:
    """The values of a day's entry in words, by what they are called."""
    none, gloss = _("none"), values["gloss_off_min"]
    return {
        _("first pour"): _instant(values["pour_at"], school),
        _("metals"): _keyed(values, "alloys", names),
        _("hand-in closes"): _instant(values["hand_in_closes_at"], school) or _("by hand"),
        _("studio opens"): values["opens"] or none,
        _("studio closes"): values["closes"] or none,
        _("waxes taken at least until"): values["hand_in_until"] or none,
        _("hours of single days"): "; ".join(_own(*one) for one in sorted(values["own_hours"].items())) or none,
        _("on call"): values["on_call"] or none,
        _("gloss gone after"): none if gloss is None else f"{gloss:g} min",
        _("flask sizes"): _keyed(values, "sizes_used", names),
        _("kilns"): _keyed(values, "kilns_used", names),
        _("torches"): _own_rule(values, "torches"),
        _("pairs of hands"): _own_rule(values, "hands"),
        _("heat into the metal"): _own_rule(values, "melt_w", " W"),
    }


def _own_rule(values: Mapping[str, Any], name: str, unit: str = "") -> str:
    value = values.get(name)
    return _("by the house rules") if value is None else f"{value:g}{unit}"


def _instant(at: str | None, school: School) -> str:
    return on_clock_of(datetime.fromisoformat(at), school) if at else ""


def _keyed(values: Mapping[str, Any], kind: str, names: Names) -> str:
    keys = values[kind]
    return _("all") if keys is None else ", ".join(names.get(f"{kind}.{key}", key) for key in keys)


def _own(on: str, hours: list[str] | None) -> str:
    called = date_format(date.fromisoformat(on), "j M")
    return f"{called} {_('nobody')}" if hours is None else f"{called} {hours[0]}–{hours[1]}"


def _answers(change: SafetyChange) -> str:
    """The answers of a record that changed, in the order of the questions; one of nothing is "not recorded".

    A row of PostgreSQL does not keep the order of its keys.
    """
    now, old = change.after, change.before or {}
    return moved(
        (_question(name), _answer(name, now[name]), _answer(name, old.get(name)))
        for name in (*FACT_NAMES, *PLACE_NAMES)
        if name in now
    )


def _question(name: str) -> str:
    return str(SafetyRecord._meta.get_field(name).verbose_name)  # type: ignore[union-attr]


def _answer(name: str, value: Any) -> str:
    if value is None or value == "":
        return _("not recorded")
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    choices = dict(getattr(SafetyRecord._meta.get_field(name), "choices", None) or ())
    return str(choices.get(value, value))
