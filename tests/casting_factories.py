"""Valid rows of a casting day; a test passes only what it is about."""

import datetime as dt
import uuid
from decimal import Decimal

import factory
from django.db import connection, transaction
from django.utils import timezone
from factory.django import DjangoModelFactory

from casting.models import Alloy, CastingDay, HouseRules, PatternMaterial, Wax
from casting.models.wax_entry import WaxEntry
from casting.services.demo import record_safety
from casting.services.stock import stock_school
from casting.services.waxes import hand_in
from tests.factories import CourseFactory, SchoolFactory, StudentFactory

STANDS_FOR_ITS_SCHOOL = 2_000_000_011
"""The key of the school whose stock is copied: no other number of a shelf or a safety record."""
STOCK: dict[str, list[tuple[str, list]]] = {}
"""By engine: the rows that stocking a school and recording its safety write, as statements with their values."""


def stock(school):
    """Give a school its shelf and its safety record: what the services write for a new one, asked of them once."""
    if HouseRules.objects.at(school).exists():
        stock_school(school)
        record_safety(school)
        return
    if connection.vendor not in STOCK:
        STOCK[connection.vendor] = _written_by_services()
    with connection.cursor() as cursor:
        for statement, values in STOCK[connection.vendor]:
            cursor.execute(statement, _of(school, values))


def _of(school, values):
    """The values with the school's own key; PostgreSQL is given the values of a column as a list."""
    own = [_of(school, value) if isinstance(value, list) else value for value in values]
    return [school.pk if value == STANDS_FOR_ITS_SCHOOL else value for value in own]


def _written_by_services():
    """What the services write for a school that is forgotten again."""
    written = []

    def noted(execute, statement, values, many, context):
        if statement.startswith("INSERT"):
            written.append((statement, list(values)))
        return execute(statement, values, many, context)

    with transaction.atomic():
        school = SchoolFactory(pk=STANDS_FOR_ITS_SCHOOL)
        with connection.execute_wrapper(noted):
            stock_school(school)
            record_safety(school)
        transaction.set_rollback(True)
    return written


class DayFactory(DjangoModelFactory):
    """A casting day three weeks ahead; its school has a stocked shelf and a complete safety record."""

    class Meta:
        model = CastingDay
        skip_postgeneration_save = True

    course = factory.SubFactory(CourseFactory)
    pour_at = factory.LazyFunction(lambda: (timezone.now() + dt.timedelta(days=21)).replace(second=0, microsecond=0))

    @factory.post_generation
    def alloys(self, create, extracted, **kwargs):
        stock(self.course.school)
        self.alloys.add(*Alloy.objects.filter(school=self.course.school, key__in=["sterling", "si-bronze", "gold-14k"]))


def wax_entry(day, **changed):
    """A plain band in sterling: 3.20 g of carving wax, 22 x 8 x 33 mm."""
    school = day.course.school
    plain = {
        "what": "plain band",
        "alloy": Alloy.objects.get(school=school, key="sterling"),
        "pattern": PatternMaterial.objects.get(school=school, key="carving-wax"),
        "wax_g": Decimal("3.20"),
        "entered": "3,20",
        "entered_unit": "g",
        "width_mm": Decimal(22),
        "depth_mm": Decimal(8),
        "height_mm": Decimal(33),
        "section": "medium",
    }
    return WaxEntry(**(plain | changed))


def handed_in(day, student=None, **changed) -> Wax:
    """A wax of the day, handed in by the student (a new one if none is given)."""
    student = student or StudentFactory(course=day.course)
    wax, _made = hand_in(day, student, key=uuid.uuid4(), entry=wax_entry(day, **changed))
    return wax


def too_much_gold(day, student=None, **changed) -> Wax:
    """A wax left out in 14k: 13 g / 0.96 x 13.7 = 185.5 g and a button of 15 %, and one melt takes 200 g.

    In silicon bronze it takes 13 / 0.96 x 8.36 = 113.2 g, of which and a button one melt takes 160.5 g.
    """
    figures = {"wax_g": Decimal(13), "width_mm": Decimal(26), "depth_mm": Decimal(20), "height_mm": Decimal(38)}
    metals = {"alloy": day.alloys.get(key="gold-14k"), "second_alloy": day.alloys.get(key="si-bronze")}
    return handed_in(day, student, **(figures | metals | changed))


def typed(day, **changed):
    """What a phone posts for a plain band: 3,20 g alone on the scale."""
    school = day.course.school
    plain = {
        "key": str(uuid.uuid4()),
        "what": "plain band",
        "pattern": str(PatternMaterial.objects.get(school=school, key="carving-wax").pk),
        "alloy": str(Alloy.objects.get(school=school, key="sterling").pk),
        "weight": "3,20",
        "unit": "g",
        "on_base": "no",
        "stones": "none",
        "base": "",
        "width_mm": "22",
        "depth_mm": "8",
        "height_mm": "33",
        "section": "medium",
        "sprue": "",
        "sprue_pattern": "",
    }
    return plain | changed
