"""The figures that a paper prints, with their places, read back by means that share no line with what wrote them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from tests.casting.papers.reading_back import Word, words_as_written

ENGLISH = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
SPANISH = ("lun", "mar", "mié", "jue", "vie", "sáb", "dom")
DAY = {word: nth for days in (ENGLISH, SPANISH) for nth, word in enumerate(days)}
WHICH = {"first": "first", "second": "second", "primera": "first", "segunda": "second"}
CLOCK = re.compile(r"^(\d\d:\d\d)[.,:;]?$")
NUMBER = re.compile(r"^\(?(\d+(?:[.,]\d+)?)(°[CF])?$")
UNITS = ("g", "dwt", "°C", "°F", "°C/h", "°F/h", "min", "h", "USD")
HEADING_PT, LARGE_PT = 11, 13
"""What is set at least as large is a heading, or the label of a flask."""


@dataclass(frozen=True)
class Figure:
    """One figure of a page: a number with its unit, or a time; `nth` is its place in the order of writing."""

    unit: str
    value: Decimal | str
    nth: int
    word: Word
    day: int | None = None
    which: str = ""

    def __str__(self):
        day = f"{ENGLISH[self.day]} " if self.day is not None else ""
        return f"{day}{self.value}{' ' + self.which if self.which else ''} {self.unit}".strip()


@dataclass
class Page:
    """One page of a paper: its words as they were written, and the figures among them."""

    number: int
    words: list[Word]

    def __post_init__(self):
        """Bare words have no full stop or comma behind them."""
        self.bare = [word.text.strip(".,:;()") for word in self.words]
        self.figures = [found for nth in range(len(self.words)) if (found := self._figure(nth))]

    def _figure(self, nth):
        text = self.words[nth].text
        if clock := CLOCK.match(text.strip("()")):
            before = nth - 2 if nth > 1 and self.bare[nth - 1] in WHICH else nth - 1
            day = DAY.get(self.bare[before]) if nth else None
            after = self.words[nth + 1].text if nth + 1 < len(self.words) else ""
            which = WHICH.get(after.strip("().,"), "") if after.startswith("(") else ""
            return Figure("time", clock[1], nth, self.words[nth], day, which)
        if number := NUMBER.match(text):
            unit = number[2] or (self.bare[nth + 1] if nth + 1 < len(self.bare) else "")
            if unit in UNITS:
                return Figure(unit, Decimal(number[1].replace(",", ".")), nth, self.words[nth])
        return None

    def find(self, *texts, start=0):
        """Where some words follow each other, each time."""
        last = len(self.bare) - len(texts) + 1
        return [nth for nth in range(start, last) if tuple(self.bare[nth : nth + len(texts)]) == texts]

    def named(self, *texts):
        """Where a name and what follows it stand, each time; a heading may begin it with a capital."""
        texts, bare = [text.casefold() for text in texts], [text.casefold() for text in self.bare]
        return [nth for nth in range(len(bare) - len(texts) + 1) if bare[nth : nth + len(texts)] == texts]

    def between(self, first, after, units):
        """The figures written from one word to before another, of those units."""
        return [one for one in self.figures if first <= one.nth < after and one.unit in units]


def pages_read(pdf):
    """Every page of a paper."""
    return [Page(number, words) for number, words in enumerate(words_as_written(pdf), start=1)]


def middle(word):
    """The height of a word's middle on its page."""
    return (word.top + word.bottom) / 2


@dataclass
class Row:
    """A row of a table: what its page has beside a label, above the next label and below the one before."""

    page: Page
    label: str
    figures: list[Figure]
    words: list[int]

    def of(self, *units):
        """Its figures of some units, in the order of writing."""
        return [one for one in self.figures if one.unit in units]


def rows_at(page, anchors, left=0.0, right=10_000.0):
    """A row for each anchor, the words at those places: halfway to its neighbours, between two edges."""
    ordered = sorted(anchors, key=lambda nth: middle(page.words[nth]))
    heights = [middle(page.words[nth]) for nth in ordered]
    rows = []
    for place, nth in enumerate(ordered):
        gaps = [abs(heights[place] - heights[other]) for other in (place - 1, place + 1) if 0 <= other < len(ordered)]
        above = (heights[place] - heights[place - 1]) / 2 if place else min(gaps, default=30) / 2
        below = (heights[place + 1] - heights[place]) / 2 if place + 1 < len(ordered) else min(gaps, default=30) / 2
        inside = [
            other
            for other, word in enumerate(page.words)
            if heights[place] - above < middle(word) <= heights[place] + below and left <= word.x0 <= right
        ]
        figures = [one for one in page.figures if one.nth in set(inside)]
        rows.append(Row(page, page.bare[nth], figures, inside))
    return rows


def tables(page, *heads):
    """Where a table begins: the places of its heads' first words, one after another in one line of headings."""
    found = []
    for nth in page.find(*heads[0].split()):
        line = [nth]
        for head in heads[1:]:
            later = [one for one in page.find(*head.split(), start=line[-1] + 1) if one - line[-1] <= 12]
            if not later:
                break
            line.append(later[0])
        if len(line) == len(heads):
            found.append(line)
    return found


def labelled_rows(page, heads, labels, column=0, whole=True, apart_pt=6):
    """The rows of every table of a page with those heads: one for each of the labels under the column's head.

    A row is as wide as the page, or, if not `whole`, begins at the first head.
    """
    starts = tables(page, *heads)
    rows = []
    for place, line in enumerate(starts):
        head = page.words[line[column]]
        end = page.words[starts[place + 1][0]].top if place + 1 < len(starts) else 10_000
        anchors = {}
        for nth, word in enumerate(page.words):
            under = head.bottom - 1 < middle(word) < end and abs(word.x0 - head.x0) <= apart_pt
            if under and page.bare[nth] in labels:
                anchors.setdefault(page.bare[nth], nth)
        rows += rows_at(page, anchors.values(), 0 if whole else page.words[line[0]].x0 - apart_pt)
    return rows
