"""Valid rows of a casting day; a test passes only what it is about."""

import datetime as dt
import uuid
from decimal import Decimal

import factory
from django.utils import timezone
from factory.django import DjangoModelFactory

from casting.models import Alloy, CastingDay, PatternMaterial, Wax
from casting.models.wax_entry import WaxEntry
from casting.services.demo import record_safety
from casting.services.stock import stock_school
from casting.services.waxes import hand_in
from tests.factories import CourseFactory, StudentFactory


class DayFactory(DjangoModelFactory):
    """A casting day three weeks ahead; its school has a stocked shelf and a complete safety record."""

    class Meta:
        model = CastingDay
        skip_postgeneration_save = True

    course = factory.SubFactory(CourseFactory)
    pour_at = factory.LazyFunction(lambda: (timezone.now() + dt.timedelta(days=21)).replace(second=0, microsecond=0))

    @factory.post_generation
    def alloys(self, create, extracted, **kwargs):
        stock_school(self.course.school)
        record_safety(self.course.school)
        self.alloys.set(Alloy.objects.filter(school=self.course.school, key__in=["sterling", "si-bronze", "gold-14k"]))


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
