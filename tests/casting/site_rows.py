"""One day of the site with its rows, each changed in a word."""

from __future__ import annotations

from typing import Any

from casting.models import Alloy, CastingDay, Firing, FlaskSize, HouseRules, Kiln, PatternMaterial
from casting.services.shelf import put_away
from tests.casting_factories import handed_in


class Site:
    """One day of the site with its rows, each changed in a word."""

    def __init__(self, day: CastingDay, student: Any, teacher: Any) -> None:
        self.day, self.student, self.teacher, self.school = day, student, teacher, day.course.school

    def rows(self, model: Any, **changes: Any) -> Site:
        """Change every row of a kind on the school's shelf."""
        model.objects.filter(school=self.school).update(**changes)
        return self

    def alloy(self, key: str = "sterling", **changes: Any) -> Alloy:
        """A metal, changed, that the day offers."""
        Alloy.objects.filter(school=self.school, key=key).update(**changes)
        alloy = Alloy.objects.get(school=self.school, key=key)
        self.day.alloys.add(alloy)
        return alloy

    def cast(self, key: str = "sterling", **changes: Any) -> Site:
        """A wax in a metal that is changed."""
        handed_in(self.day, self.student, alloy=self.alloy(key, **changes))
        return self

    def pattern(self, key: str, **changes: Any) -> PatternMaterial:
        """A material, changed."""
        PatternMaterial.objects.filter(school=self.school, key=key).update(**changes)
        return PatternMaterial.objects.get(school=self.school, key=key)

    def wax(self, **changes: Any) -> Site:
        """A plain band in sterling, or otherwise."""
        handed_in(self.day, self.student, **changes)
        return self

    def rules(self, **changes: Any) -> Site:
        """House rules of the school's own."""
        for row in HouseRules.objects.at(self.school):
            row.rules = row.rules | changes
            row.save(update_fields=["rules"])
        return self

    def firing(self, *steps: tuple[float, float], kinds: tuple[str, ...] = ("wax", "resin"), ramp: float = 160) -> Site:
        """One firing for all flasks, of (to_c, hold_min) in turn; with `kinds` of stones, one more."""
        rows = Firing.objects.filter(school=self.school)
        if kinds != ("stones",):
            rows.exclude(pk=rows.order_by("-max_height_mm")[0].pk).delete()
        row = rows.order_by("-max_height_mm")[0]
        row.pk, row.key = (row.pk, row.key) if kinds != ("stones",) else (None, "stones")
        row.kinds, row.segments = list(kinds), [{"ramp_c_per_h": ramp, "to_c": c, "hold_min": h} for c, h in steps]
        row.max_diameter_mm, row.max_height_mm = 110, 210
        row.save()
        return self

    def one_size(self, diameter_mm: float, height_mm: float, **changes: Any) -> Site:
        """One size of flask and no other."""
        sizes = FlaskSize.objects.filter(school=self.school)
        sizes.exclude(pk=sizes.order_by("pk")[0].pk).delete()
        row = sizes.get()
        row.diameter_mm, row.height_mm = diameter_mm, height_mm
        row.outside_mm = row.hub_mm = row.cover_mm = row.waxes_max = None
        for name, value in changes.items():
            setattr(row, name, value)
        row.save()
        return self

    def hours(self, **changes: Any) -> Site:
        """The day's own hours and what else its form asks."""
        for name, value in changes.items():
            setattr(self.day, name, value)
        self.day.save()
        return self

    def one_kiln(self, **changes: Any) -> Site:
        """One kiln and no other."""
        kilns = Kiln.objects.filter(school=self.school).order_by("pk")
        for kiln in kilns[1:]:
            put_away(kiln)
        Kiln.objects.filter(pk=kilns[0].pk).update(**changes)
        return self
