"""The pages on which people join, come back, sign in and leave."""

from django.contrib.auth import authenticate, logout
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from school import students
from school.access import (
    MAX_NEW_NAMES,
    SchoolRequest,
    is_rate_limited,
    leave,
    left_student,
    log_in_person,
    log_in_student,
    may_visit,
    posted_from,
    record_failure,
)
from school.forms.doors import CameBackForm, ClassCodeForm, JoinForm, SignInForm
from school.join import find_course, find_student, show_code
from school.joining import NearNames, SameName, TooManyNames, enter
from school.models import Course, Person, School
from school.return_code import keep_shown, shown_code
from school.views.shared import form_page, refuse, refuse_if_rate_limited


def _open_course(request: HttpRequest, code: str) -> Course | None:
    """Return the class of that code if this request may join it."""
    course = find_course(code, timezone.now())
    return course if course and may_visit(request, course.school) else None


@require_safe
def home(request: SchoolRequest) -> HttpResponse:
    """Send teachers, students and the site's administrator to their own work; show strangers the ways in."""
    if request.person and request.person.school_id:
        return redirect("days")
    if request.person and request.person.is_staff:
        return redirect("admin:index")
    if request.student:
        return redirect("my_waxes")
    schools = [one for one in School.objects.all()[:2] if may_visit(request, one)]
    school = schools[0] if len(schools) == 1 else None
    context = {"school": school, "left": left_student(request)}
    return form_page(request, "school/home.html", ClassCodeForm(), **context)


@require_http_methods(["GET", "HEAD", "POST"])
def join(request: SchoolRequest) -> HttpResponse:
    """Ask for the class code."""
    form = ClassCodeForm(request.POST or None)
    if form.is_valid():
        code = form.cleaned_data["code"]
        if not refuse_if_rate_limited(request, form, "join", "class code"):
            if _open_course(request, code):
                return redirect("join_class", code=code)
            sentence = _("No class is open under this code. Look at it again on the wall.")
            refuse(request, form, "join", "class code", sentence)
    return form_page(request, "school/join.html", form)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def join_class(request: SchoolRequest, code: str) -> HttpResponse:
    """Take a name, log the new student in, and show the return code, this once.

    A name with letters that papers lack is asked for in others before anything is written; so is who somebody is
    whose name is in the class already, or near one on its roster.
    """
    if is_rate_limited(request, "join", "class code"):
        return redirect("join")
    course = _open_course(request, code)
    if course is None:
        record_failure(request, "join", "class code")
        return TemplateResponse(request, "school/no_class.html", status=404)
    if request.student and request.student.course_id == course.pk:
        return redirect("return_code" if shown_code(request, request.student) else "my_waxes")
    form = JoinForm(request.POST or None)
    if not form.is_valid() or form.asks_more:
        return form_page(request, "school/join_class.html", form, course=course)
    typed, now = form.cleaned_data, timezone.now()
    may_add = not is_rate_limited(request, "new name", course.code, MAX_NEW_NAMES)
    spelled, said = typed.get("spelled", ""), {"who": typed["who"], "new": typed["new"]}
    try:
        answer = enter(course, typed["called"], typed["key"], spelled, **said, may_add=may_add)
    except TooManyNames:
        sentence = _("Too many new names from here. Wait ten minutes, or ask your teacher to put you on the roster.")
        form.add_error(None, ValidationError(sentence, code="wait"))
        return form_page(request, "school/join_class.html", form, course=course)
    if isinstance(answer, NearNames):
        return form_page(request, "school/near_names.html", form, course=course, near=answer.students)
    if isinstance(answer, SameName):
        apart = JoinForm(initial={"called": answer.suggested, "key": typed["key"]})
        return form_page(request, "school/same_name.html", apart, course=course, called=typed["called"])
    student, return_code = answer
    if student.created >= now:
        record_failure(request, "new name", course.code)
    log_in_student(request, student)
    request.student = student
    context = {"course": course, "student": student, "return_code": show_code(return_code)}
    return keep_shown(TemplateResponse(request, "school/joined.html", context), student, return_code)


@sensitive_post_parameters("return_code")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def came_back(request: SchoolRequest) -> HttpResponse:
    """Log a student in again by class, name and return code."""
    form = CameBackForm(request.POST or None)
    if form.is_valid():
        code, called = form.cleaned_data["code"], form.cleaned_data["called"]
        subject = f"{code} {called}"
        if not refuse_if_rate_limited(request, form, "return", subject):
            student = find_student(code, called, form.cleaned_data["return_code"])
            if student and may_visit(request, student.school):
                students.come_back(student)
                log_in_student(request, student)
                return redirect("my_waxes")
            sentence = _("Class, name and return code do not fit together. Look at all three again.")
            refuse(request, form, "return", subject, sentence)
    return form_page(request, "school/came_back.html", form)


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
        if not refuse_if_rate_limited(request, form, "sign in", name):
            person = authenticate(request, username=name, password=form.cleaned_data["password"])
            if isinstance(person, Person) and may_visit(request, person.school):
                log_in_person(request, person)
                return redirect(onward)
            refuse(request, form, "sign in", name, _("Sign-in name and password do not fit together."))
    return form_page(request, "school/sign_in.html", form, onward=onward)


@require_safe
def keeper_sign_in(request: HttpRequest) -> HttpResponse:
    """Send the administrator to the one page that asks for passwords: it makes those who guess wait."""
    return redirect_to_login(request.GET.get("next") or reverse("admin:index"))


@posted_from("home")
def sign_out(request: SchoolRequest) -> HttpResponse:
    """Log out the teacher or the student; a student's phone lets them back for a day."""
    if request.student:
        students.leave(request.student)
        leave(request)
    else:
        logout(request)
    return redirect("home")
