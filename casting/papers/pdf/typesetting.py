"""Typesetting: WeasyPrint with the fonts and styles of all pages read once. Imported only where a page is made."""

from __future__ import annotations

import re
from base64 import b64decode
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from tinyhtml5 import inputstream
from weasyprint import CSS, HTML
from weasyprint.css.counters import CounterStyle
from weasyprint.html import UA
from weasyprint.layout import preferred
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from casting.papers.pdf.line_widths import LineWidths

NOTES = re.compile(r"^::(?:footnote|note)-[^\n]*$", re.MULTILINE)
"""Rules for footnotes: no paper has any, and they cost a tenth of the time of each."""
SHEET = re.compile(r'<link rel="stylesheet" href="(paper:css/[a-z0-9-]+\.css)">')


PHOTO = "data:image/jpeg;base64,"
MOST_PHOTO = 100_000
"""Signs of a small photo that stands in a page itself; ours have some ten thousand."""


class Signs(dict[tuple[Iterable[str], bool], re.Pattern[str]]):
    """Patterns of the signs that the parser reads up to, or on along: its own cache of them never finds one again."""

    def __missing__(self, asked: tuple[Iterable[str], bool]) -> re.Pattern[str]:
        signs, among = asked
        one_of = "".join(f"\\x{ord(sign):02x}" for sign in sorted(signs))
        self[asked] = re.compile(f"[{'' if among else '^'}{one_of}]+")
        return self[asked]


inputstream.characters_until_regex = Signs()
LINE_WIDTHS = preferred.split_first_line = LineWidths(preferred.split_first_line)


class OurFilesOnly(URLFetcher):  # type: ignore[misc]
    """One scheme, two read-only folders, two kinds of file, no redirects; and small photos out of the page itself."""

    def __init__(self, find: Callable[[str], Path], kinds: Mapping[str, str]) -> None:
        super().__init__(allowed_protocols=["paper", "data"], allow_redirects=False, fail_on_errors=True)
        self.find, self.kinds = find, kinds

    def fetch(self, url: str, headers: Any = None) -> Any:
        """Return one of our files, or a photo of the page; `find` raises for anything else."""
        if url.startswith(PHOTO) and len(url) < MOST_PHOTO:
            jpeg = b64decode(url.removeprefix(PHOTO), validate=True)
            return URLFetcherResponse(url, jpeg, {"Content-Type": "image/jpeg"})
        path = self.find(url)
        return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": self.kinds[path.suffix]})


PLAIN = CSS(string=NOTES.sub("", UA), counter_style=CounterStyle())


class Page(HTML):  # type: ignore[misc]
    """A page without footnotes."""

    def _ua_stylesheets(self, forms: bool = False) -> list[CSS]:
        return [PLAIN]


class Typesetter:
    """Makes PDFs of pages one after the other, each independent of the others."""

    def __init__(self, find: Callable[[str], Path], kinds: Mapping[str, str]) -> None:
        self.fetcher = OurFilesOnly(find, kinds)
        self.fonts = FontConfiguration()
        self.sheets: dict[str, CSS] = {}

    def pdf(self, html: str) -> bytes:
        """Return the PDF of a page.

        Our styles come before any of the page's own, and before the size that a drawing gives itself:
        a sheet that says otherwise must say `!important`.
        """
        sheets = [self.sheet(address) for address in SHEET.findall(html)]
        page = Page(string=SHEET.sub("", html), base_url=None, url_fetcher=self.fetcher)
        return bytes(page.write_pdf(stylesheets=sheets, font_config=self.fonts, pdf_tags=True))

    def sheet(self, address: str) -> CSS:
        """Return a sheet of our styles, read at its first use."""
        if address not in self.sheets:
            self.sheets[address] = CSS(url=address, url_fetcher=self.fetcher, font_config=self.fonts)
            LINE_WIDTHS.forget(self.fonts)
        return self.sheets[address]
