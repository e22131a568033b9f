"""What several pages do with a form: show it again with its errors, refuse a try, make one wait."""

from typing import Any

from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import HttpRequest
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _

from school.access import is_rate_limited, record_failure


def form_page(request: HttpRequest, template: str, form: Form, **context: Any) -> TemplateResponse:
    """Return the page with its form; one with errors keeps what was typed and answers 422, or 429 to wait."""
    status = 200
    if form.errors:
        status = 429 if form.has_error("__all__", "wait") else 422
    return TemplateResponse(request, template, {"form": form, **context}, status=status)


def refuse(request: HttpRequest, form: Form, entry_point: str, subject: str, sentence: str) -> None:
    """Record the failure and add a sentence to the form that does not tell which part was right."""
    record_failure(request, entry_point, subject)
    form.add_error(None, sentence)


def refuse_if_rate_limited(request: HttpRequest, form: Form, entry_point: str, subject: str) -> bool:
    """Tell whether this attempt has to wait, and say so on the form."""
    if not is_rate_limited(request, entry_point, subject):
        return False
    sentence = _("Too many wrong tries from here. Wait ten minutes, or ask your teacher.")
    form.add_error(None, ValidationError(sentence, code="wait"))
    return True


def link_ended(request: HttpRequest) -> TemplateResponse:
    """Say that a one-time link leads nowhere any more; who keeps trying links waits."""
    status = 404
    if request.method == "POST":
        status = 429 if is_rate_limited(request, "link", "link") else 404
        record_failure(request, "link", "link")
    return TemplateResponse(request, "school/link_ended.html", status=status)
