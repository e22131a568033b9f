"""The page behind the set-up link: a first teacher makes the school and is signed in."""

from django.db import IntegrityError
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from school.access import SchoolRequest, log_in_person
from school.forms.first_teacher import FirstTeacherForm
from school.founding import found_school
from school.invitations import LinkUsed, find_invitation
from school.views.shared import form_page, link_ended
from school.zones import zones

NEXT_STEP = "set_up"
"""Where a first teacher goes on."""


@sensitive_post_parameters("token", "password", "again")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def first_teacher(request: SchoolRequest) -> HttpResponse:
    """Ask for the school and its first teacher; make both, use the link up, and sign the teacher in.

    Only the form's button uses the link up. The token travels in the query and in the form, because logs name paths.
    """
    token = (request.POST if request.method == "POST" else request.GET).get("token", "")
    invitation = find_invitation(token, to_a_school=False)
    if invitation is None:
        return link_ended(request)
    form = FirstTeacherForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            log_in_person(request, found_school(invitation, form.founding()))
        except LinkUsed:
            return link_ended(request)
        except IntegrityError:
            form.add_error("sign_in", _("Somebody has just taken this sign-in name. Choose another one."))
        else:
            return redirect(NEXT_STEP)
    return form_page(request, "school/first_teacher.html", form, token=token, zones=zones())
