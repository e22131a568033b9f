"""The page of every element in every state, from which new pages are put together.

It is open to a teacher and linked from nowhere: it holds nothing of a school, so it needs no switch of its own, and
what walks every address looks at it as at any other.
"""

from __future__ import annotations

from datetime import UTC, datetime

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.calc.values.enums import Level
from casting.forms.style import EveryField
from school.access import TeacherRequest, teacher_required

A_MORNING = datetime(2027, 1, 11, 15, tzinfo=UTC)
SHOW = {"tag": "A2", "code": "FK9-MD4", "flask": "D", "wax_g": 3.2, "metal_g": 34.53, "charge_g": 57.5, "flask_c": 538}
SHOW |= {"water_g": 72.8, "stop": Level.STOP, "warn": Level.WARN, "at": A_MORNING, "behind_min": 13}
"""Invented figures, so that no row of the school is needed."""


@require_safe
@teacher_required
def style(request: TeacherRequest) -> HttpResponse:
    """Show the elements: fresh, filled in, refused, struck out."""
    fresh, refused = EveryField(auto_id="fresh_%s"), EveryField({"name": "", "weight": "1.234,5", "thin": "none"})
    history = [{"at": A_MORNING, "who": request.person.name, "words": "13, 14"}]
    context = {"fresh": fresh, "refused": refused, "history": history, "show": SHOW}
    context["way"] = [(_("Waxes"), "#words", ""), (_("Flasks"), "#words", "here"), (_("Papers"), None, "")]
    return TemplateResponse(request, "casting/style/style.html", context)
