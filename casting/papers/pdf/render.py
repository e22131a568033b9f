"""Pages of HTML to PDFs, in a child process with limits: `python -m casting.papers.pdf.render`.

Pages come on standard input, each behind its length in eight bytes. Each is answered on standard
output in turn: a `+` before a PDF or a `-` before a sentence, then its length, then it. The
only addresses that a page may name are `paper:css/...` and `paper:fonts/...`, files of this
project and of those kinds; anything else is refused before it is looked at. The child imports no
Django.
"""

from __future__ import annotations

import atexit
import gc
import re
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

from casting.papers.pdf.tagging import mend
from casting.worker.apart import PROJECT, run_apart
from casting.worker.limits import limit_process, limit_time

STATIC = PROJECT / "static"
KINDS = {".css": "text/css", ".ttf": "font/ttf"}
ADDRESS = re.compile(r"paper:((?:css|fonts)/[a-z0-9-]+\.[a-z0-9]+)")

ALL_S = 180
WALL_S = 60
CPU_S = 40
"""The most time for all pages together, and for each of them by the clock and on the processor."""
MEMORY_BYTES = 1024**3
MOST_HTML_BYTES = 8 * 1024**2
MOST_PDF_BYTES = 20 * 1024**2

PANGO_MISSING = 3
OUT_OF_MEMORY = 4
LENGTH = 8
OFTEN_ENOUGH = 50_000
"""New objects between two runs of a child's garbage collection."""

MADE, FAILED = b"+", b"-"
TOO_LATE = getattr(signal, "SIGALRM", 1)


class NotRendered(Exception):
    """No PDF was made; the sentence says why, for the site's administrator."""


class PangoMissing(NotRendered):
    """This machine lacks the library that sets the type of a PDF."""


class AddressRefused(ValueError):
    """A page asked for something that no paper is made of."""


def find(address: str) -> Path:
    """Return the file that a `paper:` address names; everything else raises `AddressRefused`."""
    match = ADDRESS.fullmatch(address)
    path = (STATIC / match[1]).resolve() if match else None
    if path is None or path.suffix not in KINDS or not path.is_relative_to(STATIC) or not path.is_file():
        raise AddressRefused(f"A paper may not fetch {address[:80]!r}.")
    return path


def render(html: str) -> bytes:
    """Return the PDF of a page, made in this process; raise `NotRendered` if it may not be made."""
    try:
        from weasyprint.urls import FatalURLFetchingError

        setter = _setter()
    except OSError as error:
        raise PangoMissing(f"The type library is missing: {error}") from error
    try:
        pdf = mend(setter.pdf(html))
    except FatalURLFetchingError as refused:
        # It derives from BaseException, so no ordinary handler would see it.
        raise NotRendered(f"{refused}: {refused.__cause__}") from refused
    if len(pdf) > MOST_PDF_BYTES:
        raise NotRendered(f"The PDF is {len(pdf)} bytes long; {MOST_PDF_BYTES} is the most.")
    return pdf


@cache
def _setter() -> Any:
    """Return this process's typesetter: its fonts and our styles are read only once."""
    from casting.papers.pdf.typesetting import Typesetter

    # Its fonts lie in a folder that goes with it, while there is still a Python to take it away.
    atexit.register(_setter.cache_clear)
    return Typesetter(find, KINDS)


def render_apart(html: str) -> bytes:
    """Return the PDF of a page, made by a child process with limits; raise `NotRendered`."""
    made = render_many([html])[0]
    if isinstance(made, NotRendered):
        raise made
    return made


def render_many(pages: Sequence[str]) -> list[bytes | NotRendered]:
    """Return the PDF of each page, or what went wrong with it; one child makes them all.

    A page that ends its child costs no other: the next child goes on behind it. Unless it was the
    first of its child, it is tried once more, last and alone, since those before it may have used
    up what it needed.
    """
    made: dict[int, bytes | NotRendered] = {}
    waiting: list[int] = []
    again: list[int] = []
    for nth, html in enumerate(pages):
        size = len(html.encode())
        if size > MOST_HTML_BYTES:
            made[nth] = NotRendered(f"The page is {size} bytes long; {MOST_HTML_BYTES} is the most.")
        else:
            waiting.append(nth)
    late = time.monotonic() + ALL_S
    while waiting or again:
        batch = waiting or [again.pop(0)]
        done, why = _child([pages[nth] for nth in batch], late - time.monotonic())
        made |= dict(zip(batch, done, strict=False))
        waiting = batch[len(done) :]
        if waiting:
            ended = waiting.pop(0)
            if done and not isinstance(why, PangoMissing):
                again.append(ended)
            else:
                made[ended] = why
    return [made[nth] for nth in range(len(pages))]


def _child(pages: Sequence[str], wall_s: float) -> tuple[list[bytes | NotRendered], NotRendered]:
    """The answers of a child, and why it ended if it did so too soon."""
    if wall_s <= 0:
        return [], NotRendered(f"The papers together took longer than {ALL_S} s.")
    sent = b"".join(_framed(page.encode()) for page in pages)
    try:
        ran = run_apart("casting.papers.pdf.render", sent, wall_s)
    except subprocess.TimeoutExpired as late:
        return _answers(late.stdout or b""), NotRendered(f"The papers together took longer than {ALL_S} s.")
    except OSError as error:
        return [], NotRendered(f"The PDF could not be begun: {error}")
    said = ran.stderr.decode("utf-8", "replace").strip()[-400:]
    if ran.returncode == PANGO_MISSING:
        return [], PangoMissing(said)
    late_s = f"The PDF took longer than {WALL_S} s." if ran.returncode == -TOO_LATE else ""
    return _answers(ran.stdout), NotRendered(late_s or said or f"The PDF stopped with code {ran.returncode}.")


def _framed(content: bytes, mark: bytes = b"") -> bytes:
    """A page, or an answer with its mark, behind its length."""
    return mark + len(content).to_bytes(LENGTH, "big") + content


def _answers(written: bytes) -> list[bytes | NotRendered]:
    """The whole answers of a child, in the order of its pages; what follows a broken one is not believed."""
    found: list[bytes | NotRendered] = []
    while len(written) > LENGTH:
        mark, length = written[:1], int.from_bytes(written[1 : 1 + LENGTH], "big")
        content, written = written[1 + LENGTH : 1 + LENGTH + length], written[1 + LENGTH + length :]
        if len(content) < length or mark not in (MADE, FAILED):
            break
        if mark == MADE and content.startswith(b"%PDF-") and length <= MOST_PDF_BYTES:
            found.append(content)
        else:
            found.append(NotRendered(content[-400:].decode("utf-8", "replace")))
    return found


def main() -> int:
    """Read pages, answer each with its PDF or a sentence, in their order; a code if there can be none."""
    limit_process(MEMORY_BYTES, MOST_PDF_BYTES)
    # Layout makes many small things that live as long as their page: to look through them often finds nothing.
    gc.set_threshold(OFTEN_ENOUGH, 10, 10)
    read, write = sys.stdin.buffer.read, sys.stdout.buffer.write
    while length := int.from_bytes(read(LENGTH), "big"):
        html = read(min(length, MOST_HTML_BYTES)).decode()
        limit_time(CPU_S, WALL_S, ALL_S)
        try:
            write(_framed(render(html), MADE))
        except PangoMissing as missing:
            sys.stderr.write(f"{missing}\n")
            return PANGO_MISSING
        except MemoryError:
            sys.stderr.write(f"The PDF needed more than {MEMORY_BYTES} bytes.\n")
            return OUT_OF_MEMORY
        except Exception as error:
            write(_framed(f"{type(error).__name__}: {error}"[:4000].encode("utf-8", "replace"), FAILED))
        sys.stdout.buffer.flush()
        # What is left now, libraries and styles, lives as long as this process.
        gc.freeze()
    return 0


if __name__ == "__main__":
    sys.exit(main())
