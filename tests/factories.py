"""Valid rows with invented people; a test passes only what it is about."""

import datetime as dt

import factory
from django.utils import timezone
from factory.django import DjangoModelFactory

from school.models import Course, Person, School, Student

PASSWORD = "cuttlefish and charcoal"


class SchoolFactory(DjangoModelFactory):
    class Meta:
        model = School

    slug = factory.Sequence(lambda n: f"tidewater-{n}")
    name = "Tidewater Bench School"
    town = "Port Ellery"
    zone = "America/New_York"
    elevation_m = 12
    currency = "USD"


class PersonFactory(DjangoModelFactory):
    class Meta:
        model = Person

    school = factory.SubFactory(SchoolFactory)
    sign_in = factory.Sequence(lambda n: f"teacher{n}")
    name = "Imre Valdane"

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        kwargs.setdefault("password", PASSWORD)
        return model_class.objects.create_user(*args, **kwargs)


class CourseFactory(DjangoModelFactory):
    class Meta:
        model = Course

    school = factory.SubFactory(SchoolFactory)
    name = factory.Sequence(lambda n: f"Casting {n}")
    code = factory.Sequence(lambda n: f"TW{n:04d}")
    open_until = factory.LazyFunction(lambda: timezone.now() + dt.timedelta(days=30))


class StudentFactory(DjangoModelFactory):
    class Meta:
        model = Student

    course = factory.SubFactory(CourseFactory)
    called = factory.Sequence(lambda n: f"Sunniva Okoro {n}")
    return_hash = factory.Sequence(lambda n: f"no code opens this {n}")
