"""What a PDF says and how large it is, read by programs that did not make it."""

import ctypes
import functools
import io
import math
import re
from dataclasses import dataclass

import pdfplumber
import pypdfium2
from pypdfium2 import raw

MM_PER_POINT = 25.4 / 72
DRAWN = ("rect", "curve", "line")


@dataclass
class Word:
    """A word of a page: its edges and type size in points, measured from the upper left corner of the paper."""

    text: str
    x0: float
    x1: float
    bottom: float
    size: float
    font: str

    @property
    def top(self):
        """A type size above its lower edge."""
        return self.bottom - self.size


def typeset_words(pdf):
    """The words of each page, line by line. PDFium reads a page in a twentieth of the time that pdfplumber takes."""
    return [_by_line(_words(page)) for page in pypdfium2.PdfDocument(pdf)]


def words_as_written(pdf):
    """The words of each page in the order in which they were written: a cell after a cell, wherever it stands."""
    return [_words(page) for page in pypdfium2.PdfDocument(pdf)]


def _by_line(words, apart_pt=3):
    """Words whose tops are less than 3 points apart stand in one line, from left to right."""
    lines = []
    for word in sorted(words, key=lambda word: word.top):
        if lines and word.top - lines[-1][-1].top <= apart_pt:
            lines[-1].append(word)
        else:
            lines.append([word])
    return [word for line in lines for word in sorted(line, key=lambda word: word.x0)]


def _words(page):
    read, height, words, inside = page.get_textpage(), page.get_height(), [], False
    box, matrix = raw.FS_RECTF(), raw.FS_MATRIX()
    text = read.raw  # what pypdfium2 asks of its own object at each call otherwise
    for index in range(read.count_chars()):
        letter = chr(raw.FPDFText_GetUnicode(text, index))
        if letter.isspace():
            inside = False
            continue
        assert raw.FPDFText_GetLooseCharBox(text, index, box) and raw.FPDFText_GetMatrix(text, index, matrix)
        size = raw.FPDFText_GetFontSize(text, index) * math.hypot(matrix.c, matrix.d)
        if not inside:
            words.append(Word("", box.left, box.right, height - box.bottom, size, _font(text, index)))
            inside = True
        word = words[-1]
        word.text += letter
        word.x0, word.x1 = min(word.x0, box.left), max(word.x1, box.right)
        word.bottom, word.size = max(word.bottom, height - box.bottom), max(word.size, size)
    return words


def _font(text, index):
    """The name of a letter's font."""
    name = ctypes.create_string_buffer(99)
    assert 0 < raw.FPDFText_GetFontInfo(text, index, name, len(name), None) < len(name)
    return name.value.decode()


def pages_of(pdf):
    """The text of each page with its white space as single spaces."""
    pages = pypdfium2.PdfDocument(pdf)
    return [re.sub(r"\s+", " ", page.get_textpage().get_text_range()) for page in pages]


def page_sizes_of(pdf):
    """Width and height of each page in points."""
    return [page.get_size() for page in pypdfium2.PdfDocument(pdf)]


def sizes_of(pdf, kind):
    """Width and height in mm of each `rect`, `curve` or `line`, a list for each page."""
    return [page[kind] for page in _sizes(pdf)]


@functools.lru_cache(maxsize=2)
def _sizes(pdf):
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        return [{kind: _measured(page.objects.get(kind, [])) for kind in DRAWN} for page in opened.pages]


def _measured(things):
    return [(thing["width"] * MM_PER_POINT, thing["height"] * MM_PER_POINT) for thing in things]


def words_by_type(pdf, page, least_pt):
    """The words of a page that are set in at least `least_pt` points, with their points."""
    sized = [(word.text, round(word.size, 1)) for word in typeset_words(pdf)[page]]
    return [(word, size) for word, size in sized if size >= least_pt]


def places_of(pdf, page):
    """The words of a page, each with its left, top, right and bottom edge in mm from the upper left corner."""
    found = typeset_words(pdf)[page]
    return [(word.text, *(edge * MM_PER_POINT for edge in (word.x0, word.top, word.x1, word.bottom))) for word in found]
