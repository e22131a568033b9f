"""Every paper of a day: its key in addresses and file names, its title, the page it is made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from casting.models import Plan
from casting.papers.day_plan import day_plan_html
from casting.papers.flask_cards import flask_cards_html
from casting.papers.handout import handout_es_html, handout_html
from casting.papers.kiln_room import kiln_room_html
from casting.papers.mix import mix_html
from casting.papers.poster import poster_html
from casting.papers.slips import slips_html
from casting.papers.teacher_safety import teacher_safety_html
from casting.papers.weigh_out import weigh_out_html


@dataclass(frozen=True, slots=True)
class Paper:
    """One kind of paper. `html` gives the whole page, or None if this plan needs no such paper.

    A paper that is not `held` may be printed while a STOP holds the plan back: nobody casts by it.
    """

    key: str
    title: str | Promise
    html: Callable[[Plan], str | None]
    held: bool = True


PAPERS: tuple[Paper, ...] = (
    Paper("poster", _("Poster for the door"), poster_html, held=False),
    Paper("handout", _("Safety handout"), handout_html, held=False),
    Paper("handout-es", _("Safety handout in Spanish"), handout_es_html, held=False),
    Paper("teacher-safety", _("Teacher's safety sheet"), teacher_safety_html, held=False),
    Paper("day-plan", _("Day plan"), day_plan_html),
    Paper("flask-cards", _("Flask cards"), flask_cards_html),
    Paper("mix", _("Mix sheet"), mix_html),
    Paper("kiln-room", _("Kiln-room schedule"), kiln_room_html),
    Paper("weigh-out", _("Weigh-out list"), weigh_out_html),
    Paper("slips", _("Student slips"), slips_html),
)
"""In the order of the day. A paper that fails costs no other paper."""
