"""The teacher's page of classes and students, their posters, and how a student's name is spelled."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from school.access import StudentRequest, TeacherRequest, posted_from, student_required, teacher_required
from school.forms.classes import CourseForm
from school.forms.doors import SpellingForm
from school.join import open_course, qr_svg, reissue, show_code, spell
from school.models import Course, Student
from school.views.shared import form_page


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
    return form_page(request, "school/people.html", form, rows=rows)


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
