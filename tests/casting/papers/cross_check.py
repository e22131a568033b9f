"""Every figure of the papers against the plan file: a reader and a rounding of their own, to find what the sheets lose.

`cross_check(pdfs, wanted)` reads the papers back with PDFium and returns what was compared and what differs. Nothing
here or in `cross_wanted`, `cross_bench`, `cross_metal` and `printed_figures` shares a line with presenters or sheets.
"""

from __future__ import annotations

from tests.casting.papers.cross_bench import check_day_plan, check_flask_cards, check_mix
from tests.casting.papers.cross_metal import check_kiln_room, check_slips, check_supplement, check_weigh_out
from tests.casting.papers.cross_wanted import Checked, Wanted
from tests.casting.papers.printed_figures import Page, pages_read

READERS = {
    "day-plan": check_day_plan,
    "flask-cards": check_flask_cards,
    "kiln-room": check_kiln_room,
    "mix": check_mix,
    "slips": check_slips,
    "supplement": check_supplement,
    "supplement-es": check_supplement,
    "weigh-out": check_weigh_out,
}
"""The papers that print figures of a plan, by their keys."""


def cross_check(papers: dict[str, list[Page]], wanted: Wanted) -> Checked:
    """Compare every paper that was read with what the plan file wants of it."""
    checked = Checked()
    for paper, pages in papers.items():
        READERS[paper](paper, pages, wanted, checked)
    return checked


def read_back(pdfs: dict[str, bytes]) -> dict[str, list[Page]]:
    """Read each paper once, however often it is compared."""
    return {paper: pages_read(pdf) for paper, pdf in pdfs.items()}
