"""Printing: which papers of a day are current, what has changed on them since, PDFs and the ZIP of them.

The only writer of `PaperPrinted`. A paper that fails says so and costs no other paper.
"""

from __future__ import annotations

import hashlib
import io
import logging
import zipfile
from collections.abc import Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import UTC

from django.utils.functional import Promise
from django.utils.text import slugify
from django.utils.translation import gettext as _

from casting.models import PaperPrinted, Plan
from casting.opened import outdated, read_once
from casting.papers.kinds import PAPERS, Paper
from casting.papers.render import NotRendered, render_apart
from school.models import Person

log = logging.getLogger(__name__)

CHILDREN = 2
"""So many PDFs are made side by side: a small server has two cores."""


@dataclass(frozen=True, slots=True)
class Page:
    """A paper's page of HTML: None if this plan needs none, or if it failed."""

    paper: Paper
    html: str | None
    failed: bool = False

    @property
    def key(self) -> str:
        """The paper's key."""
        return self.paper.key

    @property
    def title(self) -> str | Promise:
        """The paper's title."""
        return self.paper.title

    @property
    def sha256(self) -> str:
        """The hash of the page; the PDF follows from it."""
        return hashlib.sha256((self.html or "").encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Standing:
    """A paper beside its last print: why that print is out of date, if it is."""

    page: Page
    printed: PaperPrinted | None
    why: tuple[str, ...]

    @property
    def to_print(self) -> bool:
        """True if what hangs on the wall is not what would be printed now."""
        return self.page.html is not None and (self.printed is None or bool(self.why))


def page_of(paper: Paper, plan: Plan) -> Page:
    """Return a paper's page; whatever goes wrong in it stays its own."""
    try:
        return Page(paper, paper.html(plan))
    except Exception:
        log.exception("paper %s of plan %s of day %s", paper.key, plan.revision, plan.day_id)
        return Page(paper, None, failed=True)


def standings_of(plan: Plan) -> list[Standing]:
    """Return every paper of a plan, in the order of the day, with what has become of its last print."""
    last = PaperPrinted.objects.last_of(plan.day)
    with read_once(plan):
        pages, changed = [page_of(paper, plan) for paper in PAPERS], outdated(plan)
    return [
        Standing(page, last.get(page.key), _why(page, last.get(page.key), plan, waxes_changed=changed))
        for page in pages
        if page.failed or page.html is not None
    ]


def _why(page: Page, printed: PaperPrinted | None, plan: Plan, *, waxes_changed: bool) -> tuple[str, ...]:
    """Why a print is out of date: nothing if it says what the page says now."""
    if printed is None or page.html is None or printed.sha256 == page.sha256:
        return ()
    why = []
    if printed.revision != plan.revision:
        why.append(_("a later revision"))
    if waxes_changed and not (printed.outdated and printed.revision == plan.revision):
        why.append(_("waxes have changed"))
    return tuple(why) or (_("names changed, a caution was cleared, or the school's entries"),)


def mark_printed(pages: Iterable[Page], plan: Plan, by: Person) -> None:
    """Note that these pages have been printed now."""
    changed = outdated(plan)
    PaperPrinted.objects.bulk_create(
        PaperPrinted(day=plan.day, key=page.key, revision=plan.revision, sha256=page.sha256, outdated=changed, by=by)
        for page in pages
    )


def file_name(page: Page, plan: Plan, ending: str = "pdf") -> str:
    """Return what a paper is called as a file: paper, day, revision."""
    return f"{slugify(page.key)}-{plan.day.pour_local():%Y-%m-%d}-revision-{plan.revision}.{ending}"


def zip_name(plan: Plan, which: str) -> str:
    """Return what the ZIP is called: which papers, day, revision."""
    return f"papers-{which}-{plan.day.pour_local():%Y-%m-%d}-revision-{plan.revision}.zip"


def pdf_of(page: Page) -> bytes:
    """Return the PDF of a page; raise `NotRendered` if none could be made."""
    if page.html is None:
        raise NotRendered(f"The page of {page.key} failed.")
    return render_apart(page.html)


def pdfs_of(pages: Sequence[Page]) -> list[bytes | NotRendered]:
    """Return the PDF of each page, or what went wrong instead."""

    def made(page: Page) -> bytes | NotRendered:
        try:
            return pdf_of(page)
        except NotRendered as failed:
            log.error("paper %s: %s", page.key, failed)
            return failed

    with ThreadPoolExecutor(max_workers=CHILDREN) as children:
        return list(children.map(made, pages))


def zip_of(plan: Plan, pages: Sequence[Page]) -> tuple[bytes, list[Page]]:
    """Return one ZIP of the pages' PDFs, and the pages that are in it.

    A paper that failed is there as a text file that says so. Every file is dated by the plan: the
    same plan and state of the day give the same bytes.
    """
    out, inside = io.BytesIO(), []
    with zipfile.ZipFile(out, "w") as archive:
        for page, pdf in zip(pages, pdfs_of(pages), strict=True):
            if isinstance(pdf, bytes):
                inside.append(page)
                _put(archive, plan, file_name(page, plan), pdf)
            else:
                sentence = _("%(paper)s could not be made. The other papers here are whole.") % {"paper": page.title}
                _put(archive, plan, "NOT-MADE-" + file_name(page, plan, "txt"), f"{sentence}\n".encode())
    return out.getvalue(), inside


def _put(archive: zipfile.ZipFile, plan: Plan, name: str, content: bytes) -> None:
    """Add a file dated by the plan. PDFs are packed already, so nothing is packed again."""
    at = plan.made_at.astimezone(UTC)
    entry = zipfile.ZipInfo(name, (at.year, at.month, at.day, at.hour, at.minute, at.second))
    entry.create_system, entry.external_attr = 3, 0o644 << 16
    archive.writestr(entry, content)
