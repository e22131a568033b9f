"""What a PDF says and how large it is, read by programs that did not make it."""

import io
import re

import pdfplumber
import pypdfium2

MM_PER_POINT = 25.4 / 72


def pages_of(pdf):
    """The text of each page with its white space as single spaces."""
    pages = pypdfium2.PdfDocument(pdf)
    return [re.sub(r"\s+", " ", page.get_textpage().get_text_range()) for page in pages]


def sizes_of(pdf, kind):
    """Width and height in mm of each `rect`, `curve` or `line`, a list for each page."""
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        return [
            [(thing["width"] * MM_PER_POINT, thing["height"] * MM_PER_POINT) for thing in page.objects.get(kind, [])]
            for page in opened.pages
        ]


def words_by_type(pdf, page, least_pt):
    """The words of a page that are set in at least `least_pt` points, with their points."""
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        found = opened.pages[page].extract_words(extra_attrs=["size"])
    sized = [(word["text"], round(word["size"], 1)) for word in found]
    return [(word, size) for word, size in sized if size >= least_pt]


def places_of(pdf, page):
    """The words of a page, each with its left, top, right and bottom edge in mm from the upper left corner."""
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        found = opened.pages[page].extract_words()
    return [(word["text"], *(word[edge] * MM_PER_POINT for edge in ("x0", "top", "x1", "bottom"))) for word in found]
