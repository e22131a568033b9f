"""Every address of the site, come back to by a reload, by the address bar or after signing in again."""

from django.urls import URLPattern, reverse
from django.utils import timezone

from casting.models import PieceDefect, Recast
from casting.urls import urlpatterns as of_casting
from school.students import remove
from school.team import invite
from school.urls import urlpatterns as of_school
from tests.casting.account_days import an_entry
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.factories import StudentFactory

GOES_TO = {
    "make_plan": "flasks",
    "end_search": "flasks",
    "take_sooner": "flasks",
    "clear_caution": "flasks",
    "take_clearance_back": "flasks",
    "mark_flask": "flasks",
    "close_waxes": "waxes",
    "hold_wax": "waxes",
    "papers_zip": "papers",
    "papers_in_one": "papers",
}


OURS = [pattern for pattern in [*of_school, *of_casting] if isinstance(pattern, URLPattern)]
"""Those of the keeper's pages are the framework's."""


def test_no_address_gives_the_browsers_error_page(day, student, teacher, teacher_client, student_client):
    wax = handed_in(day, student)
    known = {"day_id": day.pk, "wax_id": wax.pk, "student_id": student.pk, "course_id": day.course.pk}
    known["defect_id"] = PieceDefect.objects.create(wax=wax, kind="rough", where="thin").pk
    known["recast_id"] = Recast.objects.create(wax=wax, fate="again", at=timezone.now()).pk
    known |= {"code": day.course.code, "key": "mix", "which": "all", "label": "A"}
    known |= {"kind": "metals", "step": "metals", "row_id": wax.alloy_id, "entry_id": an_entry(day, teacher).pk}
    known |= {"change_id": remove(teacher, StudentFactory(course=day.course).pk).pk}
    known |= {"person_id": teacher.pk, "invitation_id": invite(teacher, "Nadia", "helper")[0].pk}
    for pattern in OURS:
        address = reverse(pattern.name, kwargs={name: known[name] for name in pattern.pattern.converters})
        for client in (teacher_client, student_client):
            assert client.get(address).status_code in (200, 302, 404), pattern.name


def test_what_is_only_posted_for_shows_its_day(day, student, teacher, teacher_client):
    wax = handed_in(day, student)
    make_plan(day, teacher)
    more = {"hold_wax": {"wax_id": wax.pk}, "papers_zip": {"which": "all"}, "mark_flask": {"label": "A"}}
    for name, page in GOES_TO.items():
        answer = teacher_client.get(reverse(name, kwargs={"day_id": day.pk} | more.get(name, {})), follow=True)
        assert answer.redirect_chain == [(reverse(page, args=[day.pk]), 302)] and answer.status_code == 200, name
