"""The teacher's page of one student: the name, merging, removing, and undoing these."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from school import students as student_service
from school.access import TeacherRequest, posted_from, teacher_required
from school.forms.classes import StudentForm
from school.models import Student, StudentChange
from school.students import Stays
from school.views.shared import form_page


@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def student(request: TeacherRequest, student_id: int) -> HttpResponse:
    """Show a student and write another name."""
    row = get_object_or_404(Student.objects.of(request.person).here().select_related("course"), pk=student_id)
    form = StudentForm(
        request.POST if request.method == "POST" else None, initial={"called": row.called, "spelled": row.spelled}
    )
    if form.is_valid():
        said = form.cleaned_data
        try:
            student_service.rename(request.person, row.pk, said["called"], said["spelled"])
        except Stays as refusal:
            form.add_error("called", refusal.sentence)
        else:
            return redirect("people")
    others = Student.objects.here().filter(course_id=row.course_id).exclude(pk=row.pk).order_by("called", "pk")
    return form_page(request, "school/student.html", form, student=row, others=others)


@posted_from("student", "student_id")
@teacher_required
def merge_student(request: TeacherRequest, student_id: int) -> HttpResponse:
    """Merge a student into another of the class."""
    into = request.POST.get("into") or student_id
    try:
        change = student_service.merge(request.person, student_id, int(into))
    except (Student.DoesNotExist, OverflowError, ValueError) as error:
        raise Http404 from error
    except Stays as refusal:
        messages.error(request, refusal.sentence)
        return redirect("student", student_id)
    messages.success(request, _("Merged into %(name)s.") % {"name": change.into})
    return redirect("people")


@posted_from("student", "student_id")
@teacher_required
def remove_student(request: TeacherRequest, student_id: int) -> HttpResponse:
    """Remove a student from the class."""
    try:
        student_service.remove(request.person, student_id)
    except Student.DoesNotExist as error:
        raise Http404 from error
    except Stays as refusal:
        messages.error(request, refusal.sentence)
        return redirect("student", student_id)
    return redirect("people")


@posted_from("people")
@teacher_required
def undo_change(request: TeacherRequest, change_id: int) -> HttpResponse:
    """Undo a removal or a merge."""
    try:
        student_service.undo(request.person, change_id)
    except StudentChange.DoesNotExist as error:
        raise Http404 from error
    except Stays as refusal:
        messages.error(request, refusal.sentence)
    return redirect("people")
