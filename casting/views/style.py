"""The page of every element in every state, from which new pages are put together.

It is open to a teacher and linked from nowhere: it holds nothing of a school, so it needs no switch of its own, and
what walks every address looks at it as at any other.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django.http import HttpResponse
from django.template.response import TemplateResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from casting.calc.values.enums import Level
from casting.forms.style import EveryField
from casting.models import CastingDay
from casting.presenters.figure_words import Reader
from casting.presenters.looking_back.defects import SaidCause
from casting.presenters.looking_back.learned import MINUTES, Line
from casting.presenters.looking_back.past_figures import Figure
from casting.presenters.looking_back.year_page import Plot, name_of
from school.access import TeacherRequest, teacher_required

A_MORNING = datetime(2027, 1, 11, 15, tzinfo=UTC)
SHOW = {"tag": "A2", "code": "FK9-MD4", "flask": "D", "wax_g": 3.2, "metal_g": 34.53, "charge_g": 57.5, "flask_c": 538}
SHOW |= {"water_g": 72.8, "stop": Level.STOP, "warn": Level.WARN, "at": A_MORNING, "behind_min": 13}
"""Invented figures, so that no row of the school is needed."""
MINUTES_POURED = (4, 5, 5, 6, 6, 6.5, 7, 9)
PIECES, WITH_DEFECT = (3, 4, 0, 5, 7, 6, 0, 0, 8, 9, 12, 4), (0, 1, 0, 0, 2, 3, 0, 0, 1, 0, 2, 0)


@require_safe
@teacher_required
def style(request: TeacherRequest) -> HttpResponse:
    """Show the elements: fresh, filled in, refused, struck out."""
    fresh, refused = EveryField(auto_id="fresh_%s"), EveryField({"name": "", "weight": "1.234,5", "thin": "none"})
    history = [{"at": A_MORNING, "who": request.person.name, "words": "13, 14"}]
    context = {"fresh": fresh, "refused": refused, "history": history, "show": SHOW}
    context |= _looking_back(request)
    context["way"] = [(_("Waxes"), "#words", ""), (_("Flasks"), "#words", "here"), (_("Papers"), None, "")]
    return TemplateResponse(request, "casting/style/style.html", context)


def _looking_back(request: TeacherRequest) -> dict[str, Any]:
    """Past figures on a line, a figure over the months, and causes of a defect, each in the order of its page."""
    figures = [Figure(minutes, CastingDay()) for minutes in MINUTES_POURED]
    months = [name_of(number)[:3] for number in range(1, 13)]
    what, remedy = _("What has just happened."), _("Nothing here yet: the next step.")
    cause = SaidCause("", what, "13, 14", remedy, "", _("common practice"))
    return {
        "line": Line("", _("from the kiln's door to metal poured"), MINUTES, figures, 5, Reader(request.school)),
        "plot": Plot(_("pieces"), _("with a defect"), months, PIECES, WITH_DEFECT, str(max(PIECES))),
        "defect": {"points": [cause], "open": [cause, cause], "against": [cause]},
    }
