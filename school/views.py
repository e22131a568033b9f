"""The pages on which people join, sign in and leave, and the teacher's page of classes and students."""

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
    StudentRequest,
    TeacherRequest,
    is_rate_limited,
    log_in_student,
    may_visit,
    posted_from,
    record_failure,
    student_required,
    teacher_required,
)
from school.forms import CameBackForm, ClassCodeForm, CourseForm, JoinForm, SignInForm, SpellingForm
from school.join import find_course, find_student, open_course, qr_svg, reissue, show_code, spell
from school.join import join as join_course
from school.models import Course, Person, Student


def _page(request: HttpRequest, template: str, form: Form, **context: Any) -> TemplateResponse:
    """Return the page with its form; one with errors keeps what was typed and answers 422, or 429 to wait."""
    status = 200
    if form.errors:
        status = 429 if form.has_error("__all__", "wait") else 422
    return TemplateResponse(request, template, {"form": form, **context}, status=status)


def _open_course(request: HttpRequest, code: str) -> Course | None:
    """Return the class of that code if this request may join it."""
    course = find_course(code, timezone.now())
    return course if course and may_visit(request, course.school) else None


def _refuse(request: HttpRequest, form: Form, entry_point: str, subject: str, sentence: str) -> None:
    """Record the failure and add a sentence to the form that does not tell which part was right."""
    record_failure(request, entry_point, subject)
    form.add_error(None, sentence)


def _refuse_if_rate_limited(request: HttpRequest, form: Form, entry_point: str, subject: str) -> bool:
    """Tell whether this attempt has to wait, and say so on the form."""
    if not is_rate_limited(request, entry_point, subject):
        return False
    sentence = _("Too many wrong tries from here. Wait ten minutes, or ask your teacher.")
    form.add_error(None, ValidationError(sentence, code="wait"))
    return True


@require_safe
def home(request: SchoolRequest) -> HttpResponse:
    """Send teachers and students to their own work; show strangers the ways in."""
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
        if not _refuse_if_rate_limited(request, form, "join", "class code"):
            if _open_course(request, code):
                return redirect("join_class", code=code)
            sentence = _("No class is open under this code. Look at it again on the wall.")
            _refuse(request, form, "join", "class code", sentence)
    return _page(request, "school/join.html", form)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def join_class(request: SchoolRequest, code: str) -> HttpResponse:
    """Take a name, log the new student in, and show the return code, this once.

    A name with letters that papers lack is asked for in others before anything is written.
    """
    if is_rate_limited(request, "join", "class code"):
        return redirect("join")
    course = _open_course(request, code)
    if course is None:
        record_failure(request, "join", "class code")
        return TemplateResponse(request, "school/no_class.html", status=404)
    if request.student and request.student.course_id == course.pk:
        return redirect("my_waxes")
    form = JoinForm(request.POST or None)
    if not form.is_valid() or form.asks_more:
        return _page(request, "school/join_class.html", form, course=course)
    typed = form.cleaned_data
    student, return_code = join_course(course, typed["called"], typed["key"], typed.get("spelled", ""))
    log_in_student(request, student)
    request.student = student
    context = {"course": course, "student": student, "return_code": show_code(return_code)}
    return TemplateResponse(request, "school/joined.html", context)


@sensitive_post_parameters("return_code")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def came_back(request: SchoolRequest) -> HttpResponse:
    """Log a student in again by class, name and return code."""
    form = CameBackForm(request.POST or None)
    if form.is_valid():
        code, called = form.cleaned_data["code"], form.cleaned_data["called"]
        subject = f"{code} {called}"
        if not _refuse_if_rate_limited(request, form, "return", subject):
            student = find_student(code, called, form.cleaned_data["return_code"])
            if student and may_visit(request, student.school):
                log_in_student(request, student)
                return redirect("my_waxes")
            sentence = _("Class, name and return code do not fit together. Look at all three again.")
            _refuse(request, form, "return", subject, sentence)
    return _page(request, "school/came_back.html", form)


@sensitive_post_parameters("password")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: SchoolRequest) -> HttpResponse:
    """Log a teacher in."""
    form = SignInForm(request.POST or None)
    onward = request.POST.get("next") or request.GET.get("next") or ""
    if not url_has_allowed_host_and_scheme(onward, {request.get_host()}, require_https=request.is_secure()):
        onward = reverse("home")
    if form.is_valid():
        name = form.cleaned_data["sign_in"].strip().casefold()
        if not _refuse_if_rate_limited(request, form, "sign in", name):
            person = authenticate(request, username=name, password=form.cleaned_data["password"])
            if isinstance(person, Person) and may_visit(request, person.school):
                login(request, person)
                return redirect(onward)
            _refuse(request, form, "sign in", name, _("Sign-in name and password do not fit together."))
    return _page(request, "school/sign_in.html", form, onward=onward)


@posted_from("home")
def sign_out(request: HttpRequest) -> HttpResponse:
    """Log out the teacher or the student."""
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
    # Two queries: the classes, then all their students.
    courses = Course.objects.of(request.person).select_related("school").prefetch_related("students")
    now = timezone.now()
    rows = [(course, show_code(course.code), course.is_open(now)) for course in courses.order_by("-open_until", "name")]
    return _page(request, "school/people.html", form, rows=rows)


@require_http_methods(["GET", "HEAD", "POST"])
@student_required
def my_name(request: StudentRequest) -> HttpResponse:
    """Ask a student how papers spell the name, if they lack letters of it."""
    return _spelling(request, request.student, "my_waxes", "base_phone.html")


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def spell_name(request: TeacherRequest, student_id: int) -> HttpResponse:
    """Ask the teacher how papers spell a student's name, if they lack letters of it."""
    student = get_object_or_404(Student.objects.of(request.person), pk=student_id)
    return _spelling(request, student, "people", "base_desk.html")


def _spelling(request: HttpRequest, student: Student, onward: str, base: str) -> HttpResponse:
    if not student.missing_letters:
        return redirect(onward)
    form = SpellingForm(request.POST if request.method == "POST" else None, initial={"spelled": student.spelled})
    if form.is_valid():
        spell(student, form.cleaned_data["spelled"])
        return redirect(onward)
    return _page(request, "school/spelling.html", form, student=student, onward=reverse(onward), base=base)


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
