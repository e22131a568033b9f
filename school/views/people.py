"""The teacher's page of classes and students, their posters, and how a student's name is spelled."""

import datetime as dt

from django.contrib import messages
from django.db.models import Prefetch
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from school.access import StudentRequest, TeacherRequest, posted_from, student_required, teacher_required
from school.forms.classes import CourseForm
from school.forms.doors import SpellingForm
from school.join import (
    close_course,
    open_course,
    open_course_until,
    qr_svg,
    reissue,
    show_code,
    spell,
    undo_reissue,
)
from school.models import Course, Student
from school.students import changes_to_undo
from school.views.shared import form_page

REOPENED_FOR = dt.timedelta(days=8)
"""To the end of the day a week from today."""


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def people(request: TeacherRequest) -> HttpResponse:
    """Show the school's classes and who is in them; open another class."""
    school = request.person.school
    assert school is not None
    form = CourseForm(request.POST or None, school=school)
    if form.is_valid():
        open_course(request.school, form.cleaned_data["name"], form.open_until())
        return redirect(request.get_full_path())
    # Two queries: the classes, then all their students.
    here = Prefetch("students", Student.objects.here().order_by("called", "pk"), to_attr="here")
    courses = Course.objects.of(request.person).select_related("school").prefetch_related(here)
    now = timezone.now()
    rows = [(course, show_code(course.code), course.is_open(now)) for course in courses.order_by("-open_until", "name")]
    return form_page(request, "school/people.html", form, rows=rows, changes=changes_to_undo(request.person))


@posted_from("people")
@teacher_required
def open_or_close(request: TeacherRequest, course_id: int) -> HttpResponse:
    """Close a class to new students now, or let them join for a week."""
    course = get_object_or_404(Course.objects.of(request.person).select_related("school"), pk=course_id)
    if request.POST.get("do") == "open":
        until = timezone.localdate(timezone=request.school.tz) + REOPENED_FOR
        open_course_until(course, dt.datetime.combine(until, dt.time(), tzinfo=request.school.tz))
    else:
        close_course(course)
    return redirect("people")


@require_http_methods(["GET", "HEAD", "POST"])
@student_required
def my_name(request: StudentRequest) -> HttpResponse:
    """Ask a student how papers spell the name, if they lack letters of it."""
    return _spelling(request, request.student, "my_waxes", "base_phone.html")


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def spell_name(request: TeacherRequest, student_id: int) -> HttpResponse:
    """Ask the teacher how papers spell a student's name, if they lack letters of it."""
    student = get_object_or_404(Student.objects.of(request.person).here(), pk=student_id)
    return _spelling(request, student, "people", "base_desk.html")


def _spelling(request: HttpRequest, student: Student, onward: str, base: str) -> HttpResponse:
    if not student.missing_letters:
        return redirect(onward)
    form = SpellingForm(request.POST if request.method == "POST" else None, initial={"spelled": student.spelled})
    if form.is_valid():
        spell(student, form.cleaned_data["spelled"])
        return redirect(onward)
    return form_page(request, "school/spelling.html", form, student=student, onward=reverse(onward), base=base)


@never_cache
@posted_from("people")
@teacher_required
def new_code(request: TeacherRequest, student_id: int) -> HttpResponse:
    """Give a student a new return code and show it, this once; the old one stops working."""
    try:
        student, return_code = reissue(request.person, student_id)
    except Student.DoesNotExist as error:
        raise Http404 from error
    context = {"student": student, "return_code": show_code(return_code)}
    return TemplateResponse(request, "school/new_code.html", context)


@posted_from("people")
@teacher_required
def undo_code(request: TeacherRequest, student_id: int) -> HttpResponse:
    """Put the return code of a few minutes ago back."""
    try:
        undone = undo_reissue(request.person, student_id)
    except Student.DoesNotExist as error:
        raise Http404 from error
    if undone:
        messages.success(request, _("The old return code works again, the new one does not."))
    else:
        messages.error(request, _("It is too late to take the new code back. Give another new one."))
    return redirect("people")


@require_safe
@teacher_required
def poster(request: TeacherRequest, course_id: int) -> HttpResponse:
    """Show the poster: the address as a QR code, and the class code in large type."""
    course = get_object_or_404(Course.objects.of(request.person).select_related("school"), pk=course_id)
    address = request.build_absolute_uri(reverse("join_class", args=[course.code]))
    context = {
        "course": course,
        "address": address,
        "join_address": request.build_absolute_uri(reverse("join")),
        "class_code": show_code(course.code),
        "qr": qr_svg(address),
    }
    return TemplateResponse(request, "school/poster.html", context)
