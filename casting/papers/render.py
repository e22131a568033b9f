"""A page of HTML to a PDF, in a child process with limits: `python -m casting.papers.render`.

The page comes on standard input, the PDF leaves on standard output. The only addresses that a
page may name are `paper:css/...` and `paper:fonts/...`, files of this project and of those
kinds; anything else is refused before it is looked at. The child imports no Django.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from casting.papers.mend import mend

PROJECT = Path(__file__).resolve().parent.parent.parent
STATIC = PROJECT / "static"
SCHEME = "paper:"
KINDS = {".css": "text/css", ".ttf": "font/ttf"}
ADDRESS = re.compile(r"paper:((?:css|fonts)/[a-z0-9-]+\.[a-z0-9]+)")

WALL_S = 60
CPU_S = 40
MEMORY_BYTES = 1024**3
MOST_HTML_BYTES = 8 * 1024**2
MOST_PDF_BYTES = 20 * 1024**2

PANGO_MISSING = 3
REFUSED = 4


class NotRendered(Exception):
    """No PDF was made; the sentence says why, for whoever keeps the server."""


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
        from weasyprint import HTML
        from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse
    except OSError as error:
        raise PangoMissing(f"The type library is missing: {error}") from error

    class OurFilesOnly(URLFetcher):  # type: ignore[misc]
        """One scheme, one read-only folder, two kinds of file; no redirects."""

        def __init__(self) -> None:
            super().__init__(allowed_protocols=["paper"], allow_redirects=False, fail_on_errors=True)

        def fetch(self, url: str, headers: Any = None) -> Any:
            path = find(url)
            return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": KINDS[path.suffix]})

    try:
        made = HTML(string=html, base_url=None, url_fetcher=OurFilesOnly()).write_pdf(pdf_tags=True)
    except FatalURLFetchingError as refused:
        # It derives from BaseException, so no ordinary handler would see it.
        raise NotRendered(f"{refused}: {refused.__cause__}") from refused
    pdf = mend(bytes(made))
    if len(pdf) > MOST_PDF_BYTES:
        raise NotRendered(f"The PDF is {len(pdf)} bytes long; {MOST_PDF_BYTES} is the most.")
    return pdf


def render_apart(html: str) -> bytes:
    """Return the PDF of a page, made by a child process with limits; raise `NotRendered`."""
    page = html.encode()
    if len(page) > MOST_HTML_BYTES:
        raise NotRendered(f"The page is {len(page)} bytes long; {MOST_HTML_BYTES} is the most.")
    with tempfile.TemporaryDirectory(prefix="paper-") as room:
        quiet = {"PATH": "/usr/bin:/bin", "HOME": room, "XDG_CACHE_HOME": room, "PYTHONPATH": str(PROJECT)}
        command = [sys.executable, "-m", "casting.papers.render"]
        try:
            done = subprocess.run(  # noqa: S603 (our own interpreter and module, no shell)
                command, input=page, capture_output=True, timeout=WALL_S, cwd=room, env=quiet, check=False
            )
        except subprocess.TimeoutExpired as late:
            raise NotRendered(f"The PDF took longer than {WALL_S} s.") from late
        except OSError as error:
            raise NotRendered(f"The PDF could not be begun: {error}") from error
    said = done.stderr.decode("utf-8", "replace").strip()[-400:]
    if done.returncode == PANGO_MISSING:
        raise PangoMissing(said)
    if done.returncode != 0 or not done.stdout.startswith(b"%PDF-"):
        raise NotRendered(said or f"The PDF stopped with code {done.returncode}.")
    return done.stdout


def _limit() -> None:
    """Bound this process before it reads a page."""
    try:
        import resource
    except ImportError:
        return  # Windows has none; the wall clock still holds.
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_S, CPU_S))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_FSIZE, (MOST_PDF_BYTES, MOST_PDF_BYTES))
    if sys.platform == "linux":
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))


def main() -> int:
    """Read a page, write its PDF; a sentence on standard error and a code if there is none."""
    _limit()
    html = sys.stdin.buffer.read(MOST_HTML_BYTES + 1)
    try:
        sys.stdout.buffer.write(render(html.decode()))
    except PangoMissing as missing:
        sys.stderr.write(f"{missing}\n")
        return PANGO_MISSING
    except NotRendered as refused:
        sys.stderr.write(f"{refused}\n")
        return REFUSED
    return 0


if __name__ == "__main__":
    sys.exit(main())
