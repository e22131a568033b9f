"""Printing: which papers of a day are current, what has changed since they were printed, their PDFs.

All of them together are one ZIP, or one PDF for printing on both sides.
A paper that fails says so and costs no other paper.
"""

from __future__ import annotations

import io
import logging
import zipfile
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.text import slugify
from django.utils.translation import get_language, override
from django.utils.translation import gettext as _

from casting.models import CastingDay, PaperPrinted, Plan
from casting.models.errors import NotPlanned
from casting.papers.edition import Edition, edition_of
from casting.papers.fingerprints import WHY, Part, Parts, parts_of
from casting.papers.pdf.join import Piece, join
from casting.papers.pdf.render import NotRendered, render_apart, render_many
from casting.papers.print_job import PlanPrintJob, PrintJob
from casting.papers.registry import PAPERS, Paper
from casting.presenters.cautions import ShownCaution
from casting.presenters.opened_plan import OpenedPlan

log = logging.getLogger(__name__)

ENGLISH = "en"
"""The language of every paper that does not choose its own, whatever language its page is read in."""

CHILDREN = 2
"""The most children that make PDFs side by side: a small server has two cores."""


@dataclass(frozen=True, slots=True)
class Page:
    """A paper's page of HTML: None if there is no such paper, or if it failed; `sentence` may say why."""

    paper: Paper
    html: str | None
    revision: int | None
    edition: Edition
    parts: Mapping[str, str]
    at: datetime | None = None
    failed: bool = False
    sentence: str = ""

    @property
    def key(self) -> str:
        """The paper's key."""
        return self.paper.key

    @property
    def title(self) -> str | Promise:
        """The paper's title."""
        return self.paper.title


@dataclass(frozen=True, slots=True)
class PaperStatus:
    """A paper and its last print: why that print is out of date, if it is."""

    paper: Paper
    printed: PaperPrinted | None
    edition: int | None
    why: tuple[str, ...]

    @property
    def to_print(self) -> bool:
        """True if its last print, if any, is not what would be printed now."""
        return self.printed is None or bool(self.why)


@dataclass(frozen=True, slots=True)
class DayPapers:
    """The papers of a day, made of its last plan or of the day alone, with what was printed of them.

    `now` is the time of this print; None for a preview.
    """

    day: CastingDay
    opened: OpenedPlan | None
    parts: Parts
    prints: Mapping[str, Sequence[PaperPrinted]]
    origin: str = ""
    now: datetime | None = None

    @property
    def plan(self) -> Plan | None:
        """The day's last plan; None before the first."""
        return self.opened.plan if self.opened is not None else None

    @property
    def stops(self) -> tuple[ShownCaution, ...]:
        """The STOPs that hold the plan back, in the reader's language."""
        held_back = self.opened.held_back if self.opened is not None else ()
        if held_back and self.plan is not None and get_language() != ENGLISH:
            return OpenedPlan(self.plan).held_back
        return held_back

    def parts_of(self, paper: Paper) -> dict[str, str]:
        """What a paper is made of now."""
        return {part.value: self.parts[part] for part in sorted(paper.takes(self.plan)) if part in self.parts}

    def revision_of(self, paper: Paper) -> int | None:
        """The revision that a paper is of; None for one that is made of the day."""
        return self.plan.revision if self.plan is not None and paper.of_plan else None

    def statuses(self) -> list[PaperStatus]:
        """Return every paper that there is, in the order of the day. No page is made for it."""
        return [self._status(paper) for paper in PAPERS if paper.needed(self.plan)]

    def _status(self, paper: Paper) -> PaperStatus:
        prints, parts = self.prints.get(paper.key, []), self.parts_of(paper)
        if not prints:
            return PaperStatus(paper, None, None, ())
        last = prints[-1]
        edition = None if last.revision else edition_of(prints[:-1], last.parts).number
        return PaperStatus(paper, last, edition, _why(last, parts))

    def edition_of(self, paper: Paper, parts: dict[str, str]) -> Edition:
        """Return the edition of a paper made of these parts: printed again, it keeps the time of its first print."""
        prints = self.prints.get(paper.key, [])
        first = next((row.at for row in prints if row.parts == parts), self.now)
        return replace(edition_of(prints, parts), printed_at=first if self.now else None)

    def page(self, paper: Paper) -> Page:
        """Return a paper's page; whatever goes wrong in it stays its own."""
        parts, revision = self.parts_of(paper), self.revision_of(paper)
        edition = self.edition_of(paper, parts)
        try:
            with override(ENGLISH):
                html = paper.html(self._job(edition))
            return Page(paper, html, revision, edition, parts, self.now)
        except NotPlanned as refusal:
            return Page(paper, None, revision, edition, parts, self.now, failed=True, sentence=refusal.sentence)
        except Exception:
            log.exception("paper %s, revision %s of day %s", paper.key, revision, self.day.pk)
            return Page(paper, None, revision, edition, parts, self.now, failed=True)

    def _job(self, edition: Edition) -> PrintJob:
        if self.opened is None:
            return PrintJob(day=self.day, edition=edition, origin=self.origin)
        return PlanPrintJob(day=self.day, edition=edition, origin=self.origin, opened=self.opened)


def papers_of(day: CastingDay, plan: Plan | None, origin: str = "", now: datetime | None = None) -> DayPapers:
    """Return the papers of a day with what was printed of them. As many queries for many waxes as for few."""
    with override(ENGLISH):
        opened = OpenedPlan(plan, on_paper=True) if plan is not None else None
        parts = parts_of(day, opened, origin)
    return DayPapers(day, opened, parts, PaperPrinted.objects.of_day(day), origin, now)


def out_of_date(statuses: Sequence[PaperStatus]) -> list[PaperStatus]:
    """Return the papers whose last print is no longer what would be printed now."""
    return [one for one in statuses if one.printed is not None and one.why]


def printed_from(prints: Mapping[str, Sequence[PaperPrinted]], revision: int | None) -> list[str]:
    """Return the titles of the papers whose last print is of that revision of the plan."""
    of_it = {key for key, rows in prints.items() if revision and rows and rows[-1].revision == revision}
    return [str(paper.title) for paper in PAPERS if paper.key in of_it]


def _why(printed: PaperPrinted, parts: Mapping[str, str]) -> tuple[str, ...]:
    """Why a print is out of date: nothing if all that the paper is made of now was so then."""
    if not printed.parts:
        return (_("it was printed before its contents were recorded"),)
    if Part.PLAN in parts and Part.PLAN not in printed.parts:
        return (_("a plan has been made"),)
    return tuple(str(WHY[Part(part)]) for part, now in parts.items() if printed.parts.get(part) != now)


def file_name(page: Page, day: CastingDay, ending: str = "pdf") -> str:
    """Return what a paper is called as a file: paper, day, revision or edition."""
    which = f"revision-{page.revision}" if page.revision else f"edition-{page.edition.number}"
    return f"{slugify(page.key)}-{day.pour_local():%Y-%m-%d}-{which}.{ending}"


def together_name(papers: DayPapers, which: str, ending: str = "zip") -> str:
    """Return what the papers together are called as a file: which papers, day, revision."""
    of = f"revision-{papers.plan.revision}" if papers.plan is not None else "before-the-plan"
    return f"papers-{which}-{papers.day.pour_local():%Y-%m-%d}-{of}.{ending}"


def pdf_of(page: Page) -> bytes:
    """Return the PDF of a page; raise `NotRendered` if none could be made."""
    if page.html is None:
        raise NotRendered(f"The page of {page.key} failed.")
    return render_apart(page.html)


def pdfs_of(pages: Sequence[Page]) -> list[bytes | NotRendered]:
    """Return the PDF of each page, or what went wrong instead; a few children share the work."""
    made: dict[int, bytes | NotRendered] = {
        nth: NotRendered(f"The page of {page.key} failed.") for nth, page in enumerate(pages) if page.html is None
    }
    shares: list[list[tuple[int, str]]] = [[] for _child in range(CHILDREN)]
    whole = ((nth, page.html) for nth, page in enumerate(pages) if page.html is not None)
    for nth, html in sorted(whole, key=lambda one: -len(one[1])):
        min(shares, key=lambda share: sum(len(html) for _nth, html in share)).append((nth, html))
    shares = [sorted(share) for share in shares if share]
    with ThreadPoolExecutor(max_workers=CHILDREN) as children:
        answers = children.map(lambda share: render_many([html for _nth, html in share]), shares)
        for share, pdfs in zip(shares, answers, strict=True):
            made |= {nth: pdf for (nth, _html), pdf in zip(share, pdfs, strict=True)}
    for nth, pdf in sorted(made.items()):
        if isinstance(pdf, NotRendered):
            log.error("paper %s: %s", pages[nth].key, pdf)
    return [made[nth] for nth in range(len(pages))]


def zip_of(papers: DayPapers, pages: Sequence[Page]) -> tuple[bytes, list[Page]]:
    """Return one ZIP of the pages' PDFs, and the pages that are in it.

    A paper that failed is there as a text file that says so. Every file is dated by the plan: the
    same plan and state of the day give the same bytes.
    """
    out, inside = io.BytesIO(), []
    with zipfile.ZipFile(out, "w") as archive:
        for page, pdf in zip(pages, pdfs_of(pages), strict=True):
            if isinstance(pdf, bytes):
                inside.append(page)
                _put(archive, papers, file_name(page, papers.day), pdf)
            else:
                said = not_made(page) + "\n"
                _put(archive, papers, "NOT-MADE-" + file_name(page, papers.day, "txt"), said.encode())
    return out.getvalue(), inside


def not_made(page: Page) -> str:
    """Return what stands in the place of a paper that failed."""
    sentence = _("%(paper)s could not be made. The other papers here are complete.") % {"paper": page.title}
    return f"{sentence} {page.sentence}".strip()


def one_pdf_of(papers: DayPapers, pages: Sequence[Page]) -> tuple[bytes, list[Page]]:
    """Return one PDF of the pages in their order, each on a front of its own, and the pages that are in it.

    In the place of a paper that failed a sheet says so. Raise `NotRendered` if no paper could be made.
    """
    pdfs = pdfs_of(pages)
    inside = [page for page, pdf in zip(pages, pdfs, strict=True) if isinstance(pdf, bytes)]
    if not inside:
        raise next((pdf for pdf in pdfs if isinstance(pdf, NotRendered)), NotRendered("There is no paper."))
    school = papers.day.course.school
    pieces = []
    for page, pdf in zip(pages, pdfs, strict=True):
        with override(ENGLISH):
            said = {"school": school, "title": page.title, "sentence": not_made(page)}
            made = pdf if isinstance(pdf, bytes) else render_apart(render_to_string("papers/not_made.html", said))
            pieces.append(Piece(str(page.title), made, page.paper.fronts))
    return join(pieces, _title_of(papers.day), ENGLISH), inside


def _title_of(day: CastingDay) -> str:
    """What the papers of a day together are called."""
    with override(ENGLISH):
        words = _("Papers of %(date)s, %(school)s")
        return words % {"date": f"{day.pour_local():%Y-%m-%d}", "school": day.course.school.name}


def _put(archive: zipfile.ZipFile, papers: DayPapers, name: str, content: bytes) -> None:
    """Add a file dated by the plan, without one by now. PDFs are packed already, so nothing is packed again."""
    at = (papers.plan.made_at if papers.plan is not None else timezone.now()).astimezone(UTC)
    entry = zipfile.ZipInfo(name, (at.year, at.month, at.day, at.hour, at.minute, at.second))
    entry.create_system, entry.external_attr = 3, 0o644 << 16
    archive.writestr(entry, content)
