"""The way through a school's set-up: each step with what stands now, and what a plan will miss."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import cached_property
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from casting.calc.values.marked_text import in_a_sentence
from casting.dayfile.shelf_file import shelf
from casting.models import Alloy, Firing, FlaskSize, Investment, Kiln
from casting.models.shelf import TYPED, ShelfRow
from casting.presenters.cautions import safety_record_of, to_settle
from casting.presenters.figure_words import Reader
from casting.presenters.formats import length_number, plain, rounded
from casting.presenters.sources import name_of
from casting.selectors.shelf import house_rules, stock_of
from school.models import Course, Person, Role, School


class State(StrEnum):
    """How a step stands."""

    DONE = "done"
    DEFAULT = "default"
    LACKS = "lacks"


WORDS = {
    State.DONE: gettext_lazy("done"),
    State.DEFAULT: gettext_lazy("still the default"),
    State.LACKS: gettext_lazy("incomplete"),
}


@dataclass(frozen=True, slots=True)
class Step:
    """A step: its page, what stands now, what nobody has recorded that a plan asks for, whether it was looked at."""

    key: str
    title: Any
    address: str
    stands: str
    lacks: Sequence[str]
    looked_at: bool

    @property
    def state(self) -> State:
        """Whether something is missing, else whether somebody has looked at it."""
        return State.LACKS if self.lacks else State.DONE if self.looked_at else State.DEFAULT

    @property
    def word(self) -> Any:
        """Its state in a word."""
        return WORDS[self.state]


@dataclass(frozen=True)
class SetUp:
    """The set-up of one school as it stands; each list of its shelf is read once."""

    school: School

    @cached_property
    def steps(self) -> list[Step]:
        """The steps in order, without the rehearsal."""
        back = f"?next={reverse('set_up')}"
        found = []
        for key, (title, page, told) in STEPS.items():
            stands, lacks, changed = told(self)
            found.append(Step(key, title, page(self) + back, stands, lacks, changed or key in self.school.set_up_steps))
        return found

    @property
    def looked_at(self) -> int:
        """How many steps somebody has looked at."""
        return sum(step.looked_at for step in self.steps)

    @property
    def next_step(self) -> Step | None:
        """The first step that nobody has looked at; None if only the rehearsal is left."""
        return next((step for step in self.steps if not step.looked_at), None)

    @cached_property
    def reader(self) -> Reader:
        """Writes figures in the school's units."""
        return Reader(self.school)

    def rows(self, model: type[ShelfRow]) -> list[Any]:
        """Return the rows of a kind that the school works with. One query."""
        return list(model._default_manager.filter(school=self.school, offered=True))


Told = tuple[str, list[str], bool]
"""What stands, what is not recorded, and whether the school has changed anything."""


def _school(way: SetUp) -> Told:
    school = way.school
    units = ", ".join([school.weight_unit, f"°{school.temperature_unit}", school.length_unit])
    stands = f"{school.name}, {school.zone}, {_height(way)}; {units}; {school.paper}"
    lacks = [] if school.elevation_m is not None else [_("height above the sea")]
    return stands, lacks, school.changed_at is not None


def _metals(way: SetUp) -> Told:
    rows = way.rows(Alloy)
    priced = sum(_is_typed(row, "price_per_g") and row.price_per_g is not None for row in rows)
    unpriced = [in_a_sentence(row.name) for row in rows if row.price_per_g is None]
    prices = (
        _("no price is yours yet")
        if not priced
        else ngettext("%(count)d price is yours", "%(count)d prices are yours", priced) % {"count": priced}
    )
    stands = _("%(metals)s offered; %(prices)s") % {"metals": _listed(row.name for row in rows), "prices": prices}
    return stands, [_("price of %(metal)s") % {"metal": name} for name in unpriced], _changed(rows)


def _powder(way: SetUp) -> Told:
    rows = way.rows(Investment)
    if not rows:
        return _("None"), [_("investment")], False
    first: Investment = rows[0]
    stands = _("%(name)s: %(kind)s, water %(water)s to 100, working time %(time)s min") % {
        "name": first.name,
        "kind": first.get_kind_display(),
        "water": plain(first.water_per_100),
        "time": plain(first.working_min),
    }
    if first.kind == Investment.Kind.UNKNOWN:
        return stands, [_("kind of powder"), *_nulls(way, [first])], _changed(rows)
    return stands, _nulls(way, [first]), _changed(rows)


def _flasks(way: SetUp) -> Told:
    rows = way.rows(FlaskSize)
    return ", ".join(f"{name_of(way.reader, row)}: {row.count}" for row in rows), [], _changed(rows)


def _kilns(way: SetUp) -> Told:
    rows = way.rows(Kiln)
    told = []
    for row in rows:
        inside = _measures(way, (row.width_mm, row.depth_mm, row.height_mm))
        starts = way.reader.lines("delayed_start", row.delayed_start)[0]
        told.append(
            _("%(name)s, %(inside)s; delayed start: %(starts)s")
            % {"name": row.name, "inside": inside, "starts": starts}
        )
    return ". ".join(told), _nulls(way, rows), _changed(rows)


def _firings(way: SetUp) -> Told:
    rows = way.rows(Firing)
    return ", ".join(name_of(way.reader, row) for row in rows), [], _changed(rows)


def _people(way: SetUp) -> Told:
    people = Person.objects.filter(school=way.school, is_active=True)
    teachers = sum(person.role == Role.TEACHER for person in people)
    helpers = len(people) - teachers
    classes = Course.objects.filter(school=way.school, is_rehearsal=False).count()
    stands = ", ".join([
        ngettext("%(count)d teacher", "%(count)d teachers", teachers) % {"count": teachers},
        ngettext("%(count)d helper", "%(count)d helpers", helpers) % {"count": helpers},
        ngettext("%(count)d class", "%(count)d classes", classes) % {"count": classes},
    ])  # fmt: skip
    hours = _("Each casting day asks for its hours")
    if way.school.opens and way.school.closes:
        open_hours = {"opens": f"{way.school.opens:%H:%M}", "closes": f"{way.school.closes:%H:%M}"}
        hours = _("A new casting day begins with %(opens)s to %(closes)s") % open_hours
    return f"{stands}. {hours}", [], classes > 0 or len(people) > 1


def _rules(way: SetUp) -> Told:
    own = house_rules(way.school)
    usual = shelf().one("rules")
    number = sum(usual.get(name) != value for name, value in own.rules.items()) if own else 0
    if not number:
        return _("The usual ones"), [], False
    return ngettext("%(count)d rule is yours", "%(count)d rules are yours", number) % {"count": number}, [], True


def _safety(way: SetUp) -> Told:
    record = safety_record_of(way.school)
    missing = to_settle(record)
    if record.pk is None:
        return _("Nothing recorded, which counts as the worse case"), [_("the whole record")], False
    if not missing:
        return _("All answered"), [], True
    answers = ngettext("%(count)d answer", "%(count)d answers", len(missing)) % {"count": len(missing)}
    return _("Recorded in part; what is not recorded counts as the worse case"), [answers], True


STEPS: Mapping[str, tuple[Any, Callable[[SetUp], str], Callable[[SetUp], Told]]] = {
    "school": (gettext_lazy("School"), lambda way: reverse("school_page"), _school),
    "metals": (gettext_lazy("Metals and today's prices"), lambda way: reverse("set_up_list", args=["metals"]), _metals),
    "powder": (gettext_lazy("Investment, the plaster"), lambda way: _address_of_powder(way), _powder),
    "flasks": (gettext_lazy("Flasks"), lambda way: reverse("set_up_list", args=["flasks"]), _flasks),
    "kilns": (gettext_lazy("Kilns"), lambda way: reverse("set_up_list", args=["kilns"]), _kilns),
    "firings": (gettext_lazy("Firings"), lambda way: reverse("equipment"), _firings),
    "people": (gettext_lazy("Hours and people"), lambda way: reverse("team"), _people),
    "rules": (gettext_lazy("House rules"), lambda way: reverse("house_rules"), _rules),
    "safety": (gettext_lazy("Safety record"), lambda way: reverse("safety"), _safety),
}
"""The steps in order: what each is called, its page, and what is told of it."""


def _address_of_powder(way: SetUp) -> str:
    """The page of the powder that plans take."""
    rows = way.rows(Investment)
    return reverse("thing", args=["powders", rows[0].pk]) if rows else reverse("new_thing", args=["powders"])


def _is_typed(row: ShelfRow, figure: str) -> bool:
    """Whether the school itself has typed a figure."""
    return bool(row.sources.get(figure, {}).get("source", "").startswith(TYPED))


def _changed(rows: Iterable[ShelfRow]) -> bool:
    """Whether the school has typed a figure of a row, or made a row itself."""
    return any(not stock_of(row) or any(_is_typed(row, figure) for figure in row.sources) for row in rows)


def _nulls(way: SetUp, rows: Iterable[ShelfRow]) -> list[str]:
    """What rows leave out that plans ask for, each once."""
    asked = ("water_c", "max_c", "delayed_start", "runs_program")
    empty = [name for row in rows for name in asked if name in row.figures and getattr(row, name) is None]
    return [str(ASKED[name]) for name in dict.fromkeys(empty)]


ASKED = {
    "water_c": gettext_lazy("temperature of the water"),
    "max_c": gettext_lazy("how hot the kiln gets"),
    "delayed_start": gettext_lazy("delayed start"),
    "runs_program": gettext_lazy("whether the controller runs ramps by itself"),
}
"""What plans ask for where a row leaves it out."""


def _measures(way: SetUp, sides_mm: Sequence[float]) -> str:
    """Sides with their unit once: 330 × 330 × 343 mm."""
    units = way.reader.units
    return f"{' × '.join(length_number(side, units) for side in sides_mm)} {'in' if units.inches else 'mm'}"


def _height(way: SetUp) -> str:
    """The school's height above the sea, in feet where lengths go by inches."""
    metres = way.school.elevation_m
    if metres is None:
        return _("height not recorded")
    return f"{rounded(Decimal(metres) / FOOT_M, 0)} ft" if way.reader.units.inches else f"{metres} m"


FOOT_M = Decimal("0.3048")


MOST_NAMED = 4


def _listed(names: Iterable[str]) -> str:
    """Names in a sentence; the rest as a number where there are many."""
    named = [name if not nth else in_a_sentence(name) for nth, name in enumerate(names)]
    more = len(named) - MOST_NAMED
    if more > 1:
        rest = _("%(count)d more") % {"count": more}
        return f"{', '.join(named[:MOST_NAMED])} {_('and')} {rest}"
    return ", ".join(named)
