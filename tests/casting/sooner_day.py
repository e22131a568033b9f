"""An invented class in rows of its own school: a day whose cheapest plan has one beside it that ends earlier."""

from decimal import Decimal

from casting.models import Alloy, HouseRules, PatternMaterial
from tests.casting.models.shelf_rows import MODELS
from tests.casting_factories import DayFactory, handed_in
from tests.days.class_day import class_day
from tests.factories import StudentFactory


def day_in_rows(course, file):
    """A casting day of a class with the shelf, the house rules and the waxes of a day file, tags in their order."""
    day, school = DayFactory(course=course), course.school
    for heading, model in MODELS.items():
        model.objects.filter(school=school).update(offered=False)
        rows = file[heading] if isinstance(file[heading], list) else [file[heading]]
        for place, row in enumerate(rows):
            named = {"name": row["key"], "offered": True, "place": place} | row
            model.objects.update_or_create(school=school, key=row["key"], defaults=named)
    HouseRules.objects.filter(school=school).update(rules=file["rules"])
    day.alloys.set(Alloy.objects.at(school))
    students = {}
    for wax in sorted(file["waxes"], key=lambda wax: wax["key"]):
        student = students.get(wax["student"]) or students.setdefault(wax["student"], StudentFactory(course=course))
        handed_in(day, student, **_entry(school, wax))
    return day


def _entry(school, wax):
    sprue = wax["sprue_pattern"]
    figures = {name: Decimal(str(wax[name])) for name in ("wax_g", "sprue_g", "width_mm", "depth_mm", "height_mm")}
    return figures | {
        "section": wax["section"],
        "own_metal": wax["owner"] != "school",
        "alloy": Alloy.objects.get(school=school, key=wax["alloy"]),
        "pattern": PatternMaterial.objects.get(school=school, key=wax["pattern"]),
        "sprue_pattern": PatternMaterial.objects.get(school=school, key=sprue) if sprue else None,
    }


def a_sooner_day(course):
    """A class of 24: mixing sections is what makes its cheapest plan cheap and late."""
    return day_in_rows(course, class_day(105, 24))
