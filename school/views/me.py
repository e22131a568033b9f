"""Somebody's own page: name, language, password, and leaving the school."""

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from school import team
from school.access import TeacherRequest, helper_required
from school.forms.team import MyLanguageForm, MyNameForm, MyPasswordForm
from school.views.shared import form_page, refuse, refuse_if_rate_limited


@sensitive_post_parameters("old", "password", "again")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@helper_required
def me(request: TeacherRequest) -> HttpResponse:
    """Change one's own name, language or password; the button says which."""
    does = request.POST.get("do") if request.method == "POST" else None
    now = {"name": request.person.name, "spelled": request.person.spelled}
    names = MyNameForm(request.POST if does == "name" else None, initial=now)
    spoken = MyLanguageForm(request.POST if does == "language" else None, initial={"language": request.person.language})
    password = MyPasswordForm(request.POST if does == "password" else None, person=request.person)
    if names.is_valid():
        team.rename(request.person, names.cleaned_data["name"], names.cleaned_data["spelled"])
        messages.success(request, _("Saved."))
        return redirect("me")
    if spoken.is_valid():
        team.speak(request.person, spoken.cleaned_data["language"])
        return redirect("me")
    if password.is_valid() and _knows_the_old(request, password):
        team.change_password(request.person, password.cleaned_data["password"])
        update_session_auth_hash(request, request.person)
        messages.success(request, _("The password is changed. Other devices are signed out."))
        return redirect("me")
    sent = {"password": password, "language": spoken}.get(does or "", names)
    return form_page(request, "school/me.html", sent, names=names, spoken=spoken, password=password)


def _knows_the_old(request: TeacherRequest, form: Form) -> bool:
    """Tell whether the old password is right; a wrong one counts as a wrong sign-in does."""
    subject = request.person.sign_in
    if refuse_if_rate_limited(request, form, "sign in", subject):
        return False
    if not request.person.check_password(form.cleaned_data["old"]):
        refuse(request, form, "sign in", subject, _("That is not your password now. Nothing is changed."))
        return False
    return True
