"""The page of a school's teachers and helpers, and the page by which an invited person comes."""

from django.contrib import messages
from django.contrib.auth import logout
from django.db import IntegrityError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from school import team as team_service
from school.access import (
    SchoolRequest,
    TeacherRequest,
    helper_required,
    log_in_person,
    may_visit,
    posted_from,
    teacher_required,
)
from school.forms.first_teacher import NewcomerForm
from school.forms.team import InviteForm
from school.invitations import LinkUsed, find_invitation
from school.join import qr_svg
from school.models import Invitation, Person
from school.views.shared import form_page, link_ended


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def team(request: TeacherRequest) -> HttpResponse:
    """Show the school's teachers and helpers and the open invitations; invite somebody and show the link, once."""
    form = InviteForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        said = form.cleaned_data
        return _link(request, *team_service.invite(request.person, said["name"], said["role"]))
    people = list(Person.objects.of(request.person).order_by("-is_active", "name", "pk"))
    invited = Invitation.objects.filter(school=request.school, expires__gt=timezone.now()).select_related("by")
    return form_page(request, "school/team.html", form, people=people, invited=invited.order_by("created", "pk"))


def _link(request: TeacherRequest, invitation: Invitation, token: str) -> TemplateResponse:
    address = request.build_absolute_uri(f"{reverse('invited')}?token={token}")
    until = invitation.expires.astimezone(request.school.tz).replace(tzinfo=None)
    context = {"invitation": invitation, "address": address, "qr": qr_svg(address), "until": until}
    return TemplateResponse(request, "school/invitation.html", context)


@never_cache
@posted_from("team")
@teacher_required
def invite_again(request: TeacherRequest, invitation_id: int) -> HttpResponse:
    """Show a new link for an open invitation, once; the old one stops working."""
    try:
        return _link(request, *team_service.invite_again(request.person, invitation_id))
    except Invitation.DoesNotExist as error:
        raise Http404 from error


@posted_from("team")
@teacher_required
def withdraw_invitation(request: TeacherRequest, invitation_id: int) -> HttpResponse:
    """End an open invitation."""
    try:
        name = team_service.withdraw(request.person, invitation_id)
    except Invitation.DoesNotExist as error:
        raise Http404 from error
    messages.success(request, _("The link for %(name)s no longer works.") % {"name": name})
    return redirect("team")


@posted_from("team")
@teacher_required
def put_away(request: TeacherRequest, person_id: int) -> HttpResponse:
    """Let somebody sign in no longer, or again."""
    back = request.POST.get("do") == "undo"
    try:
        person = (team_service.bring_back if back else team_service.put_away)(request.person, person_id)
    except Person.DoesNotExist as error:
        raise Http404 from error
    except team_service.LastTeacher as refusal:
        messages.error(request, str(refusal))
        return redirect("team")
    said = _("%(name)s can sign in again.") if back else _("%(name)s can no longer sign in. What they wrote stays.")
    messages.success(request, said % {"name": person.name})
    return redirect("team")


@posted_from("me")
@helper_required
def leave(request: TeacherRequest) -> HttpResponse:
    """Leave the school: sign out, and sign in no longer."""
    try:
        team_service.put_away(request.person, request.person.pk)
    except team_service.LastTeacher as refusal:
        messages.error(request, str(refusal))
        return redirect("me")
    logout(request)
    return redirect("home")


@sensitive_post_parameters("token", "password", "again")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def invited(request: SchoolRequest) -> HttpResponse:
    """Ask an invited person for name, sign-in name and password; the button uses the link up and signs them in."""
    token = (request.POST if request.method == "POST" else request.GET).get("token", "")
    invitation = find_invitation(token, to_a_school=True)
    if invitation is None or not may_visit(request, invitation.school):
        return link_ended(request)
    form = NewcomerForm(request.POST if request.method == "POST" else None, initial={"name": invitation.name})
    if form.is_valid():
        said = {name: form.cleaned_data[name] for name in ("name", "sign_in", "password")}
        try:
            log_in_person(request, team_service.accept(invitation, **said))
        except LinkUsed:
            return link_ended(request)
        except IntegrityError:
            form.add_error("sign_in", _("Somebody has just taken this sign-in name. Choose another one."))
        else:
            return redirect("home")
    return form_page(request, "school/invited.html", form, token=token, invitation=invitation)
