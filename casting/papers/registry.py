"""Every paper of a day: its key in addresses and file names, its title, the page it is made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from casting.models import Plan
from casting.papers.fingerprints import Part
from casting.papers.print_job import PlanPrintJob, PrintJob
from casting.papers.sheets.account.bills import bills_html
from casting.papers.sheets.account.stock import stock_html
from casting.papers.sheets.account.weigh_back import weigh_back_html
from casting.papers.sheets.day_plan import day_plan_html
from casting.papers.sheets.flask_cards import flask_cards_html
from casting.papers.sheets.handout import handout_es_html, handout_html
from casting.papers.sheets.kiln_room import kiln_room_html
from casting.papers.sheets.mix import mix_html
from casting.papers.sheets.poster import poster_html
from casting.papers.sheets.running.collect import collect_html
from casting.papers.sheets.running.kiln_log import kiln_log_html
from casting.papers.sheets.running.saw_off import saw_off_html
from casting.papers.sheets.slips import slips_html
from casting.papers.sheets.supplement import supplement_es_html, supplement_html
from casting.papers.sheets.teacher_safety import teacher_safety_html, teacher_safety_of_day_html
from casting.papers.sheets.weigh_out import weigh_out_html
from casting.presenters.plan_changes import FIGURES

ALWAYS = frozenset({Part.SCHOOL, Part.PROGRAM})
SHEET = ALWAYS | {Part.PLAN, Part.WAXES, Part.CLEARED}
"""What every sheet of a plan has in its head and figures."""
ON_BENCH = frozenset({Part.INVESTED, Part.POURED, Part.MISHAPS})
SAFETY = ALWAYS | {Part.DATE, Part.OFFERED, Part.OFFERED_CAUTIONS, Part.RECORD, Part.GAUGE}


@dataclass(frozen=True, slots=True)
class Paper:
    """One kind of paper: made of a plan (None if this plan needs none), of the day before any plan, or of either.

    A paper that is not `held` may be printed while a STOP holds the plan back: nobody casts by it.
    `made_of` are the parts that its page follows from, `of_day_made_of` those of the page before any plan.
    `fronts` keeps every back blank, as what is cut up or hung on a flask has none.
    `figures` are those of a flask that it prints, in the plan file's words: crossed out by hand after a newer plan.
    `teachers` alone may have one that says what people pay or what is in the safe.
    `needs` names what a plan file must list, any of them, for there to be such a paper.
    """

    key: str
    title: str | Promise
    of_plan: Callable[[PlanPrintJob], str | None] | None = None
    of_day: Callable[[PrintJob], str | None] | None = None
    held: bool = True
    made_of: frozenset[Part] = frozenset(Part)
    of_day_made_of: frozenset[Part] = frozenset()
    needs: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()
    fronts: bool = False
    teachers: bool = False

    def html(self, job: PrintJob) -> str | None:
        """Return the whole page, or None if the job's plan, or its day before any plan, needs no such paper."""
        if self.of_plan and isinstance(job, PlanPrintJob):
            return self.of_plan(job)
        return self.of_day(job) if self.of_day else None

    def needed(self, plan: Plan | None) -> bool:
        """Tell whether there is such a paper of a plan; without one, of the day."""
        if plan is None:
            return self.of_day is not None
        return not self.needs or any(plan.file[name] for name in self.needs)

    def takes(self, plan: Plan | None) -> frozenset[Part]:
        """Return the parts that its page follows from."""
        return self.made_of if plan is not None and self.of_plan else self.of_day_made_of


PAPERS: tuple[Paper, ...] = (
    Paper(
        "poster",
        _("Hand-in poster of the day"),
        of_day=poster_html,
        held=False,
        of_day_made_of=ALWAYS | {Part.CLASS, Part.DATE, Part.HAND_IN, Part.ADDRESS},
    ),
    Paper("handout", _("Safety handout"), of_day=handout_html, held=False, of_day_made_of=SAFETY),
    Paper("handout-es", _("Safety handout in Spanish"), of_day=handout_es_html, held=False, of_day_made_of=SAFETY),
    Paper(
        "teacher-safety",
        _("Teacher's safety sheet"),
        of_plan=teacher_safety_html,
        of_day=teacher_safety_of_day_html,
        held=False,
        made_of=SHEET | {Part.CAUTIONS, Part.RECORD, Part.GAUGE, Part.STUDENTS},
        of_day_made_of=SAFETY | {Part.STUDENTS},
    ),
    Paper(
        "supplement",
        _("Supplement to the handout"),
        supplement_html,
        made_of=SHEET | {Part.WEIGHED, Part.MISHAPS, Part.CAUTIONS, Part.OFFERED, Part.OFFERED_CAUTIONS},
        needs=("flasks",),
    ),
    Paper(
        "supplement-es",
        _("Supplement in Spanish"),
        supplement_es_html,
        made_of=SHEET | {Part.WEIGHED, Part.MISHAPS, Part.CAUTIONS, Part.OFFERED, Part.OFFERED_CAUTIONS},
        needs=("flasks",),
    ),
    Paper(
        "day-plan",
        _("Day plan"),
        day_plan_html,
        made_of=SHEET | {Part.WEIGHED, Part.NAMES, Part.CAUTIONS, Part.GAUGE} | ON_BENCH,
        figures=(*FIGURES, "waxes"),
    ),
    Paper(
        "flask-cards",
        _("Flask cards"),
        flask_cards_html,
        made_of=SHEET | {Part.WEIGHED, Part.NAMES, Part.NOTES, Part.ADDRESS, Part.CAUTIONS, Part.KILNS_ON} | ON_BENCH,
        needs=("flasks",),
        figures=(*FIGURES, "waxes"),
        fronts=True,
    ),
    Paper(
        "mix",
        _("Mix sheet"),
        mix_html,
        made_of=SHEET | {Part.INVESTED, Part.GAUGE},
        needs=("bowls",),
        figures=("powder_g", "water_g"),
    ),
    Paper(
        "kiln-room",
        _("Kiln-room schedule"),
        kiln_room_html,
        made_of=SHEET | {Part.MISHAPS, Part.POURED, Part.KILNS_ON, Part.ON_CALL},
        needs=("firings",),
        figures=("flask_c", "out_at"),
    ),
    Paper(
        "weigh-out",
        _("Weigh-out list"),
        weigh_out_html,
        made_of=SHEET | {Part.WEIGHED, Part.MISHAPS, Part.NAMES, Part.POURED},
        needs=("flasks",),
        figures=("charge_g", "waxes"),
    ),
    Paper(
        "weigh-back",
        _("Weigh-back sheet"),
        weigh_back_html,
        made_of=SHEET | {Part.WEIGHED, Part.MISHAPS, Part.NAMES},
        needs=("flasks",),
        figures=("charge_g", "waxes"),
    ),
    Paper(
        "slips",
        _("Student slips"),
        slips_html,
        made_of=SHEET | {Part.MISHAPS, Part.NAMES, Part.PRICES},
        needs=("flasks", "left_out"),
        figures=("waxes",),
        fronts=True,
    ),
)
"""In the order in which the day uses them, and in which they are printed. A paper that fails costs no other paper."""

OF_ACCOUNT: tuple[Paper, ...] = (
    Paper("stock", _("Stock sheet"), of_day=stock_html, held=False, of_day_made_of=ALWAYS, teachers=True),
    Paper("bills", _("Bills"), of_day=bills_html, held=False, of_day_made_of=ALWAYS, fronts=True, teachers=True),
)
"""The papers of the metal account, printed from its own page when they are wanted: they change with every booking."""

OF_THE_DAY: tuple[Paper, ...] = (
    Paper(
        "kiln-log",
        _("Kiln log"),
        kiln_log_html,
        made_of=SHEET | {Part.MISHAPS, Part.KILNS_ON, Part.POURED},
        needs=("firings",),
    ),
    Paper(
        "saw-off",
        _("Saw-off map"),
        saw_off_html,
        made_of=SHEET | {Part.MISHAPS, Part.NAMES, Part.POURED},
        needs=("flasks",),
    ),
    Paper(
        "collect",
        _("Ready to collect"),
        collect_html,
        made_of=SHEET | {Part.MISHAPS, Part.NAMES, Part.POURED},
        needs=("flasks",),
    ),
)
"""Papers of the day under way, printed from the pages Kiln room and Pours: they change with every note."""
