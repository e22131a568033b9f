"""The page where finished bases are weighed: whose turn it is, what its slips say, what follows from its weight."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.quantities.mounted import MountedWax
from casting.calc.values.enums import Tick
from casting.models import BenchChange, RubberBase
from casting.presenters.formats import to_weigh_on, weighed_on
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_sheet import FlaskSheet
from casting.presenters.running.base_photo import BasePhotoLine, photo_of
from casting.presenters.running.pours_page import TickLine
from casting.selectors.flasks import noted_on
from casting.selectors.mounted import WeighedBase, weighed_bases


@dataclass(frozen=True, slots=True)
class BaseLine:
    """A flask whose base is mounted: what its slips let expect, and what was weighed."""

    flask: FlaskSheet
    expected_g: float
    planned_g: float
    weighed: TickLine
    base: WeighedBase | None
    photo: BasePhotoLine | None

    @property
    def is_old(self) -> bool:
        """Whether it was weighed with other waxes than the plan has in it now."""
        return self.base is not None and self.flask.mounted is None

    @property
    def waits(self) -> bool:
        """Whether it is still to be weighed."""
        return not self.flask.invested and (self.base is None or self.is_old)

    @property
    def charge_moved(self) -> bool:
        """Whether it takes another charge than its slips say."""
        return self.flask.charge_g != self.planned_g


class MountingPage:
    """All that the page shows at this moment. As many queries, however many flasks there are."""

    def __init__(self, opened: OpenedPlan, in_hand: str = "") -> None:
        self.opened, self.day, self.in_hand = opened, opened.plan.day, in_hand
        self.now = timezone.now().astimezone(self.day.course.school.tz)
        self.notes = noted_on(self.day)
        self.bases = weighed_bases(self.day)
        rows = BenchChange.objects.filter(day=self.day, do=Tick.WEIGHED).values_list("what")
        self.seen = dict(rows.annotate(Max("pk")).order_by())
        self.planned_g = {row["label"]: row["charge_g"] for row in opened.plan.file["flasks"]}

    @cached_property
    def lines(self) -> list[BaseLine]:
        """Every flask in the order in which the plan mixes its bowls, and so needs its base."""
        flasks = {flask.label: flask for flask in self.opened.sheet.flasks}
        mixed = [label for bowl in self.opened.sheet.bowls for label in bowl.flasks]
        order = [*mixed, *(label for label in flasks if label not in mixed)]
        return [self._line(flasks[label]) for label in order]

    def _line(self, flask: FlaskSheet) -> BaseLine:
        slips_g = sum(one.wax.wax_g for one in flask.waxes)
        trunk_g = flask.trunk.metal_g if flask.trunk else 0.0
        expected = MountedWax(slips_g, slips_g, flask.wax_metal_g, trunk_g).expected_g
        key = Tick.WEIGHED, flask.label
        tick = TickLine(*key, _("Base weighed"), None, self.notes.get(key), self.seen.get(flask.label, 0))
        base, photo = self.bases.get(flask.label), photo_of(self.notes, flask)
        return BaseLine(flask, expected, self.planned_g[flask.label], tick, base, photo)

    @cached_property
    def turns(self) -> list[BaseLine]:
        """The flasks whose base is still to be weighed; the one in hand first."""
        return sorted((one for one in self.lines if one.waits), key=lambda one: one.flask.label != self.in_hand)

    @property
    def done(self) -> list[BaseLine]:
        """The flasks whose base was weighed."""
        return [one for one in self.lines if one.base is not None and not one.is_old]

    @property
    def unweighed(self) -> list[BaseLine]:
        """The flasks that were invested without that."""
        return [one for one in self.lines if one.flask.invested and one.flask.mounted is None]

    @cached_property
    def numbers(self) -> list[tuple[str, str]]:
        """The school's numbered bases, each with what it weighs."""
        bases = RubberBase.objects.filter(school=self.opened.school)
        return [(base.number, weighed_on(base.weight_g, self.opened.units)) for base in bases]

    @property
    def moved_words(self) -> str:
        """Which flasks take another charge than the plan's, in a sentence; empty if none does."""
        units = self.opened.units
        moved = [
            _("%(label)s %(now)s, not %(was)s")
            % {
                "label": one.flask.label,
                "now": to_weigh_on(one.flask.charge_g, units),
                "was": to_weigh_on(one.planned_g, units),
            }
            for one in self.done
            if one.charge_moved and one.flask.to_pour
        ]
        return _("Weigh out as mounted: %(charges)s.") % {"charges": "; ".join(moved)} if moved else ""
