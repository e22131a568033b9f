"""The page of a class's roster: names are typed, pasted or read from a file, shown row by row, then added."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from school.access import TeacherRequest, teacher_required
from school.csv_file import answer_csv
from school.forms.roster import RosterForm
from school.models import Course, Student
from school.roster import State, add, looked_at
from school.views.shared import form_page

TEMPLATE = "school/roster.html"


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def roster(request: TeacherRequest, course_id: int) -> HttpResponse:
    """Read a list of names and show what becomes of each; add them once the teacher has seen that."""
    course = get_object_or_404(Course.objects.of(request.person).select_related("school"), pk=course_id)
    if request.method != "POST":
        return form_page(request, TEMPLATE, RosterForm(), course=course)
    form = RosterForm(request.POST, request.FILES)
    if not form.is_valid():
        return form_page(request, TEMPLATE, form, course=course)
    rows = (add if request.POST.get("do") == "add" else looked_at)(course, form.named)
    new, wrong = (sum(row.state is state for row in rows) for state in (State.NEW, State.WRONG))
    if request.POST.get("do") == "add" and not wrong:
        said = ngettext("%(number)s name added.", "%(number)s names added.", new) % {"number": new}
        messages.success(request, said)
        return redirect("people")
    # What was read stands in the field, so that a row is put right where it is.
    read = RosterForm(initial={"names": "\n".join(name for _number, name in form.named)})
    context = {"course": course, "rows": rows, "new": new, "wrong": wrong, "encoding": form.encoding}
    return form_page(request, TEMPLATE, read, **context)


@require_safe
@teacher_required
def roster_csv(request: TeacherRequest, course_id: int) -> HttpResponse:
    """Answer the names of a class, with when each joined."""
    course = get_object_or_404(Course.objects.of(request.person).select_related("school"), pk=course_id)
    header = [_("Name"), _("Name on the papers"), _("Class"), _("Joined")]
    here = Student.objects.here().filter(course=course).order_by("called", "pk")
    zone = course.school.tz
    rows = [
        [one.called, one.spelled or one.called, course.name, one.joined_at and one.joined_at.astimezone(zone)]
        for one in here
    ]
    return answer_csv(f"roster-{slugify(course.name) or course.pk}", header, rows)
