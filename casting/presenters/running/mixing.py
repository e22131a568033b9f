"""The page at the investing bench: the bowl whose turn it is, and those whose flasks are filled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from functools import cached_property

from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.quantities.investment import water_per_100_of
from casting.calc.values.enums import Do, Tick
from casting.models import BenchChange
from casting.presenters.formats import decimals, degrees, plain
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_sheet import BowlLine, FlaskSheet
from casting.presenters.running.pours_page import TickLine
from casting.selectors.flasks import Noted, noted_on

JOINED = "+"


@dataclass(frozen=True, slots=True)
class BowlTurn:
    """A bowl with what is noted of it; `line` is None once a later plan has it no more, as it is mixed."""

    what: str
    flasks: Sequence[FlaskSheet]
    line: BowlLine | None
    begun: TickLine
    gloss: TickLine
    weighed: TickLine
    water: TickLine
    bell: TickLine
    filled: TickLine
    weighed_said: str
    water_said: str
    working_min: float
    base_off_min: int
    set_min: float

    @property
    def letters(self) -> str:
        """The letters of its flasks."""
        return " ".join(flask.label for flask in self.flasks)

    @property
    def to_fill(self) -> list[FlaskSheet]:
        """Its flasks that are not invested yet."""
        return [flask for flask in self.flasks if not flask.invested]

    @property
    def is_filled(self) -> bool:
        """Whether every flask of it is invested."""
        return not self.to_fill

    @property
    def unweighed(self) -> list[str]:
        """Its flasks whose finished base nobody weighed, and which are still to be filled."""
        return [flask.label for flask in self.to_fill if flask.mounted is None]

    @property
    def until(self) -> datetime | None:
        """Until when it can be worked."""
        return self.begun.noted.at + timedelta(minutes=self.working_min) if self.begun.noted else None

    @property
    def base_off_at(self) -> datetime | None:
        """From when the rubber base may come off."""
        return self.filled.noted.at + timedelta(minutes=self.base_off_min) if self.filled.noted else None

    @property
    def set_at(self) -> datetime | None:
        """Until when its flasks set."""
        return self.filled.noted.at + timedelta(minutes=self.set_min) if self.filled.noted else None

    @property
    def gloss_min(self) -> float | None:
        """After how long its gloss was gone, as measured [min]."""
        return self.gloss.noted.figures.get("min") if self.gloss.noted else None


class MixingPage:
    """All that the page shows at this moment. As many queries, however many bowls there are."""

    def __init__(self, opened: OpenedPlan, in_hand: str = "") -> None:
        self.opened, self.day, self.in_hand = opened, opened.plan.day, in_hand
        self.now = timezone.now().astimezone(self.day.course.school.tz)
        self.notes = noted_on(self.day)
        rows = BenchChange.objects.filter(day=self.day).values_list("do", "what").annotate(Max("pk")).order_by()
        self.seen = {(do, what): last for do, what, last in rows}
        book = opened.sheet.day.rulebook
        self.base_off_min = round(book.limit("base_off_min"))

    @cached_property
    def bowls(self) -> list[BowlTurn]:
        """Every bowl in the order in which it is mixed; those of an earlier plan that were mixed come first."""
        flasks = {flask.label: flask for flask in self.opened.sheet.flasks}
        lines = {JOINED.join(line.flasks): line for line in self.opened.sheet.bowls}
        earlier = {what for do, what in self.notes if do in (Tick.MIXING, Tick.GLOSS) and what not in lines}
        known = [what for what in sorted(earlier) if all(self._is_in(one, flasks) for one in what.split(JOINED))]
        order = sorted(lines, key=lambda what: (lines[what].at or self.opened.sheet.pour_at, what))
        return [
            self._turn(what, [flasks[one] for one in what.split(JOINED)], lines.get(what)) for what in known + order
        ]

    def _is_in(self, label: str, flasks: dict[str, FlaskSheet]) -> bool:
        return label in flasks and flasks[label].invested

    def _turn(self, what: str, flasks: Sequence[FlaskSheet], line: BowlLine | None) -> BowlTurn:
        day = self.opened.sheet.day
        letters = " ".join(flask.label for flask in flasks)
        filled_at = [self.notes[Do.MIX, flask.label] for flask in flasks if (Do.MIX, flask.label) in self.notes]
        last = max(filled_at, key=lambda noted: noted.at, default=None)
        return BowlTurn(
            what,
            flasks,
            line,
            self._tick(Tick.MIXING, what, _("Powder is in the water")),
            self._tick(Tick.GLOSS, what, _("Gloss gone")),
            self._tick(Tick.WATER_G, what, _("Water as weighed")),
            self._tick(Tick.WATER, what, _("Water")),
            self._tick(Tick.BELL, what, _("Gauge under the bell")),
            TickLine(Do.MIX, what, _("%(letters)s filled") % {"letters": letters}, None, last),
            self._weighed_said(self.notes.get((Tick.WATER_G, what))),
            self._water_said(self.notes.get((Tick.WATER, what))),
            day.working_min,
            self.base_off_min,
            day.investment.set_min,
        )

    def _tick(self, do: str, what: str, words: str) -> TickLine:
        return TickLine(do, what, words, None, self.notes.get((do, what)), self.seen.get((do, what), 0))

    @cached_property
    def turns(self) -> list[BowlTurn]:
        """The bowls that are still to be mixed or poured out; the one in hand first, then one that is begun."""
        waits = [one for one in self.bowls if not one.is_filled]
        return sorted(waits, key=lambda one: (one.what != self.in_hand, one.begun.noted is None))

    @property
    def filled(self) -> list[BowlTurn]:
        """The bowls whose flasks are all filled, the last first."""
        return [one for one in self.bowls if one.is_filled][::-1]

    @property
    def water_words(self) -> str:
        """How warm the water should be; where nobody recorded that, where to look."""
        water_c, units = self.opened.sheet.day.investment.water_c, self.opened.units
        if water_c is None:
            return _("temperature not recorded: see the powder's sheet")
        low, high = (degrees(one, units) for one in water_c)
        return _("at %(low)s to %(high)s") % {"low": low, "high": high}

    def _weighed_said(self, noted: Noted | None) -> str:
        """The water as weighed, and how much it is to the powder beside what was planned; empty if nobody noted it."""
        if noted is None:
            return ""
        figures = noted.figures
        weighed_g, powder_g = Decimal(figures["water_g"]), figures["powder_g"]
        ratio, asked = (
            decimals(water_per_100_of(float(one_g), powder_g), 1) for one_g in (weighed_g, figures["asked_g"])
        )
        words = {"water": plain(weighed_g), "ratio": ratio, "asked": asked}
        return _("%(water)s g: %(ratio)s to 100 of powder, planned %(asked)s") % words

    def _water_said(self, noted: Noted | None) -> str:
        """What was read of a water, and what follows if it is outside its range; empty if nobody read it."""
        if noted is None:
            return ""
        read_c, water_c = noted.figures["celsius"], self.opened.sheet.day.investment.water_c
        said = degrees(read_c, self.opened.units)
        if water_c is not None and read_c > water_c[1]:
            return _("%(read)s: warmer than it should be, so it sets sooner") % {"read": said}
        if water_c is not None and read_c < water_c[0]:
            return _("%(read)s: cooler than it should be, so it sets later") % {"read": said}
        return said

    @property
    def measured(self) -> BowlTurn | None:
        """The bowl whose gloss was measured last, if the day's plan counts on another time."""
        found = [one for one in self.bowls if one.gloss.noted]
        last = max(found, key=lambda one: one.gloss.noted.at if one.gloss.noted else self.now, default=None)
        return last if last is not None and last.gloss_min != self.day.gloss_off_min else None
