"""A student's own code, coming back to a phone that they left, and being forgotten."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from school import students
from school.access import StudentRequest, keep_logged_in, left_student, log_in_student, posted_from, student_required
from school.join import renew, show_code
from school.return_code import keep_shown, shown_code


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@student_required
def return_code(request: StudentRequest) -> HttpResponse:
    """Show the return code again that this phone was shown a while ago, or give a new one."""
    if request.method != "POST":
        code = shown_code(request, request.student)
        context = {"student": request.student, "return_code": show_code(code) if code else ""}
        return TemplateResponse(request, "school/joined.html", context)
    code = renew(request.student)
    keep_logged_in(request, request.student)
    context = {"student": request.student, "return_code": show_code(code)}
    return keep_shown(TemplateResponse(request, "school/joined.html", context), request.student, code)


@posted_from("home")
def come_back_here(request: HttpRequest) -> HttpResponse:
    """Undo leaving, on the phone that was left."""
    student = left_student(request)
    if student is None:
        return redirect("came_back")
    students.come_back(student)
    log_in_student(request, student)
    return redirect("my_waxes")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@student_required
def forget_me(request: StudentRequest) -> HttpResponse:
    """Say what is forgotten and what stays; then forget the student, and what this phone keeps of them."""
    if request.method != "POST":
        return TemplateResponse(request, "school/forget_me.html")
    students.forget(request.student)
    request.session.flush()
    answer = TemplateResponse(request, "school/forgotten.html")
    answer["Clear-Site-Data"] = '"storage"'
    return answer
