"""Every paper of a day: its key in addresses and file names, its title, the page it is made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from casting.models import Plan
from casting.papers.day_plan import day_plan_html


@dataclass(frozen=True, slots=True)
class Paper:
    """One kind of paper. `html` gives the whole page, or None if this plan needs no such paper."""

    key: str
    title: str | Promise
    html: Callable[[Plan], str | None]


PAPERS: tuple[Paper, ...] = (Paper("day-plan", _("Day plan"), day_plan_html),)
"""In the order of the day. A paper that fails costs no other paper."""
