"""The way in, and the people of a school."""

from typing import Any

from django.contrib.auth import authenticate, login, logout
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from school.access import (
    SchoolRequest,
    TeacherRequest,
    let_student_in,
    must_wait,
    note_failure,
    posted_from,
    teacher_required,
)
from school.forms import CameBackForm, ClassCodeForm, CourseForm, JoinForm, SignInForm
from school.join import come_back, find_course, open_course, qr_svg, reissue, show_code
from school.join import join as join_course
from school.models import Course, Person, Student


def _page(request: HttpRequest, template: str, form: Form, **context: Any) -> TemplateResponse:
    """Return the page with its form: fresh, or with what was wrong and all that was typed."""
    status = 200
    if form.errors:
        status = 429 if form.has_error("__all__", "wait") else 422
    return TemplateResponse(request, template, {"form": form, **context}, status=status)


def _refuse(request: HttpRequest, form: Form, door: str, subject: str, sentence: str) -> None:
    """Count the wrong try and say so in words that do not tell what was right."""
    note_failure(request, door, subject)
    form.add_error(None, sentence)


def _held(request: HttpRequest, form: Form, door: str, subject: str) -> bool:
    """Return whether the try must wait, and say so on the form."""
    if not must_wait(request, door, subject):
        return False
    sentence = _("Too many wrong tries from here. Wait ten minutes, or ask your teacher.")
    form.add_error(None, ValidationError(sentence, code="wait"))
    return True


@require_safe
def home(request: SchoolRequest) -> HttpResponse:
    """Send people to their own work; a stranger chooses a door."""
    if request.person and request.person.school_id:
        return redirect("days")
    if request.student:
        return redirect("my_waxes")
    return TemplateResponse(request, "school/home.html")


@require_http_methods(["GET", "HEAD", "POST"])
def join(request: SchoolRequest) -> HttpResponse:
    """Ask for the class code."""
    form = ClassCodeForm(request.POST or None)
    if form.is_valid():
        code = form.cleaned_data["code"]
        if not _held(request, form, "join", "class code"):
            if find_course(code, timezone.now()):
                return redirect("join_class", code=code)
            sentence = _("No class is open under this code. Look at it again on the wall.")
            _refuse(request, form, "join", "class code", sentence)
    return _page(request, "school/join.html", form)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def join_class(request: SchoolRequest, code: str) -> HttpResponse:
    """Take a name, let the student in, and show the return code this once."""
    if must_wait(request, "join", "class code"):
        return redirect("join")
    course = find_course(code, timezone.now())
    if course is None:
        note_failure(request, "join", "class code")
        return TemplateResponse(request, "school/no_class.html", status=404)
    if request.student and request.student.course_id == course.pk:
        return redirect("my_waxes")
    form = JoinForm(request.POST or None)
    if not form.is_valid():
        return _page(request, "school/join_class.html", form, course=course)
    student, return_code = join_course(course, form.cleaned_data["called"], form.cleaned_data["key"])
    let_student_in(request, student)
    request.student = student
    context = {"course": course, "student": student, "return_code": show_code(return_code)}
    return TemplateResponse(request, "school/joined.html", context)


@sensitive_post_parameters("return_code")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def came_back(request: SchoolRequest) -> HttpResponse:
    """Let a student in again by class, name and return code."""
    form = CameBackForm(request.POST or None)
    if form.is_valid():
        code, called = form.cleaned_data["code"], form.cleaned_data["called"]
        subject = f"{code} {called}"
        if not _held(request, form, "return", subject):
            student = come_back(code, called, form.cleaned_data["return_code"])
            if student:
                let_student_in(request, student)
                return redirect("my_waxes")
            sentence = _("Class, name and return code do not fit together. Look at all three again.")
            _refuse(request, form, "return", subject, sentence)
    return _page(request, "school/came_back.html", form)


@sensitive_post_parameters("password")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: SchoolRequest) -> HttpResponse:
    """Let a teacher in."""
    form = SignInForm(request.POST or None)
    onward = request.POST.get("next") or request.GET.get("next") or ""
    if not url_has_allowed_host_and_scheme(onward, {request.get_host()}, require_https=request.is_secure()):
        onward = reverse("home")
    if form.is_valid():
        name = form.cleaned_data["sign_in"].strip().casefold()
        if not _held(request, form, "sign in", name):
            person = authenticate(request, username=name, password=form.cleaned_data["password"])
            if isinstance(person, Person):
                login(request, person)
                return redirect(onward)
            _refuse(request, form, "sign in", name, _("Sign-in name and password do not fit together."))
    return _page(request, "school/sign_in.html", form, onward=onward)


@posted_from("home")
def sign_out(request: HttpRequest) -> HttpResponse:
    """Forget whoever was here, teacher or student."""
    logout(request)
    return redirect("home")


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def people(request: TeacherRequest) -> HttpResponse:
    """Show the school's classes and who is in them; open another class."""
    school = request.person.school
    assert school is not None
    form = CourseForm(request.POST or None, school=school)
    if form.is_valid():
        open_course(request.school, form.cleaned_data["name"], form.open_until())
        return redirect("people")
    # One query for the classes and one for all their students.
    courses = Course.objects.of(request.person).select_related("school").prefetch_related("students")
    now = timezone.now()
    rows = [(course, show_code(course.code), course.is_open(now)) for course in courses.order_by("-open_until", "name")]
    return _page(request, "school/people.html", form, rows=rows)


@never_cache
@posted_from("people")
@teacher_required
def new_code(request: TeacherRequest, student_id: int) -> HttpResponse:
    """Give a student a new return code and show it this once; the old one opens nothing any more."""
    try:
        student, return_code = reissue(request.person, student_id)
    except Student.DoesNotExist as error:
        raise Http404 from error
    context = {"student": student, "return_code": show_code(return_code)}
    return TemplateResponse(request, "school/new_code.html", context)


@require_safe
@teacher_required
def poster(request: TeacherRequest, course_id: int) -> HttpResponse:
    """Show the sheet for the wall: the address as a QR code, and the class code in large type."""
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
