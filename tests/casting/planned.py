"""Plans of a day for tests, made as the site makes them: a search begun, its child's end, what it found kept."""

import os
import sys
import warnings
from contextlib import redirect_stderr, redirect_stdout
from unittest.mock import patch

from casting.calc.grouping.budget import SITE_EFFORT
from casting.models import Search
from casting.models.errors import NotPlanned
from casting.selectors.searches import lives
from casting.services import searches
from casting.worker.child import run
from tests.waiting import until


def make_plan(day, by, effort=SITE_EFFORT):
    """The next revision of the day's plan; raises `NotPlanned` with the search's sentence if there is none."""
    search = ended(searches.begin(day, by, effort))
    if search.state != Search.State.KEPT:
        raise NotPlanned(search.sentence)
    return search.plan


def ended(search):
    """The search once its child has come to its end by itself, settled."""
    until(lambda: not lives(search))
    return searches.settle(search)


class EndedChild:
    """A child that has done its work before anybody could look at it."""

    pid = os.getpid()

    def wait(self):
        return 0


WRITTEN = ("found", "said", "end")
WROTE: dict[tuple[str, ...], list[bytes]] = {}
"""What a search wrote, by its command and day file: the same file gives the same bytes, as tests of the plan show."""


def start_here(folder, command):
    """Run a search in this process, without a second to start a child, and the same search once."""
    asked = (*command, (folder / "asked").read_text(encoding="utf-8"))
    if asked not in WROTE:
        run_here(folder, command)
        WROTE[asked] = [(folder / name).read_bytes() for name in WRITTEN]
    for name, wrote in zip(WRITTEN, WROTE[asked], strict=True):
        (folder / name).write_bytes(wrote)
    return EndedChild()


def run_here(folder, command):
    """Run a search's module with the same arguments and files as its child would."""
    module, *arguments = command
    with (
        (folder / "asked").open(encoding="utf-8") as asked,
        (folder / "found").open("w", encoding="utf-8") as found,
        (folder / "said").open("w", encoding="utf-8") as said,
        patch.multiple(sys, stdin=asked, argv=list(sys.argv)),
        redirect_stdout(found),
        redirect_stderr(said),
        warnings.catch_warnings(),
    ):
        # The module is imported already, which a child's never is.
        warnings.simplefilter("ignore", RuntimeWarning)
        run(folder / "end", module, arguments)
