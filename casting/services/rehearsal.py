"""The rehearsal: the invented class on a day ahead, planned with a school's own things, and removed again."""

from __future__ import annotations

import itertools
import shutil
import uuid
from collections.abc import Mapping
from datetime import datetime, time
from typing import Any

from django.contrib.auth.hashers import make_password
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.models import Alloy, CastingDay, PatternMaterial, Search
from casting.selectors.rehearsal import Stand, invented_class, stand_in
from casting.selectors.searches import folder_of
from casting.services import searches
from casting.services.days import DayEntry, announce
from casting.services.demo import invented_wax, saturday_ahead
from casting.services.waxes import hand_in
from school.join import open_course
from school.models import Course, Person, School, Student


def rehearse(by: Person) -> Search:
    """Plan the invented class anew with the things of the person's school; `NotPlanned` if no day file can be made."""
    assert by.school is not None
    remove_rehearsal(by.school)
    return searches.begin(_class_of(by.school, by), by)


def remove_rehearsal(school: School) -> None:
    """Remove the rehearsal with its students, waxes and plans; a search that goes on is stopped."""
    for search in Search.objects.filter(day__course__school=school, day__course__is_rehearsal=True):
        searches.stop(search)
        shutil.rmtree(folder_of(search), ignore_errors=True)
    Course.objects.filter(school=school, is_rehearsal=True).delete()


@transaction.atomic
def _class_of(school: School, by: Person) -> CastingDay:
    """Make the invented class, which nobody can join, with its day and its waxes."""
    School.objects.select_for_update().get(pk=school.pk)
    course = open_course(school, _free_name(school), timezone.now())
    course.is_rehearsal = True
    course.save(update_fields=["is_rehearsal"])
    file = invented_class()
    metals, patterns = stand_in(Alloy, school), stand_in(PatternMaterial, school)
    day = announce(course, _day_entry(school, file["day"], metals), by)
    for called, waxes in file["students"].items():
        student = Student.objects.create(course=course, called=called, return_hash=make_password(None))
        for wax in waxes:
            sprue = patterns(wax["sprue_pattern"]) if "sprue_pattern" in wax else None
            entry = invented_wax(wax, metals(wax["alloy"]), patterns(wax["pattern"]), sprue)
            hand_in(day, student, key=uuid.uuid4(), entry=entry)
    return day


def _day_entry(school: School, day: Mapping[str, Any], metals: Stand) -> DayEntry:
    """Return a Saturday ahead in the school's metals; whom to call in the night only the school's record can say."""
    saturday = saturday_ahead(datetime.now(school.tz).date())
    return DayEntry(
        pour_at=datetime.combine(saturday, time.fromisoformat(day["pour_at"]), school.tz),
        alloys=[metals(key) for key in day["alloys"]],
        opens=time.fromisoformat(day["opens"]),
        closes=time.fromisoformat(day["closes"]),
    )


def _free_name(school: School) -> str:
    """Return a name that says what it is and that no class of the school has."""
    taken = set(school.courses.values_list("name", flat=True))
    plain = _("Rehearsal (invented class)")
    names = (plain if nth == 1 else f"{plain} {nth}" for nth in itertools.count(1))
    return next(name for name in names if name not in taken)
