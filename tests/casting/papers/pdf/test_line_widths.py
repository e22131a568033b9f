"""Widths of lines: what is measured once is what would be measured again, and only the same is the same."""

import pytest
from weasyprint.layout import preferred

from casting.papers.pdf.line_widths import DECIDES, LineWidths
from casting.papers.pdf.render import KINDS, find
from casting.papers.pdf.typesetting import LINE_WIDTHS, Typesetter

pytestmark = pytest.mark.anew

WORDS = "Sterling silver, well-known; 925 \N{MULTIPLICATION SIGN} Mokume-gane " * 3
STYLES = ["", "letter-spacing: 1pt", "font-weight: 700", "white-space: nowrap", "hyphens: auto", "word-spacing: 2pt"]
STYLES += ["overflow-wrap: anywhere", "font-size: 9pt", "font-variant-numeric: tabular-nums", "white-space: pre-wrap"]
CELLS = "".join(f'<td style="{style}">{WORDS}</td>' for style in STYLES)
PAGE = '<html lang="en"><title>x</title><link rel="stylesheet" href="paper:css/paper.css"><table><tr>{}</tr></table>'


class Fonts:
    """The fonts of one typesetter."""


class Style(dict):
    """A style of WeasyPrint's, as far as widths go."""

    def __init__(self, fonts, **differs):
        super().__init__(dict.fromkeys(DECIDES, "normal") | differs)
        self.font_config = fonts


@pytest.fixture
def asked():
    """Lines that were measured."""
    return []


@pytest.fixture
def widths(asked):
    def measure(text, style, context, max_width, justification, **how):
        asked.append((text, max_width, how))
        return "layout", 3, 4, 12.5 * len(asked), 9.0, 7.0

    return LineWidths(measure)


@pytest.fixture
def fonts():
    return Fonts()


def test_the_same_line_is_measured_once(widths, asked, fonts):
    first = widths("casting day", Style(fonts), None, 0, 0, is_line_start=True, minimum=True)
    assert first == (None, None, 4, 12.5, None, None)
    assert widths("casting day", Style(fonts), None, 0, 0, is_line_start=True, minimum=True) == first
    assert asked == [("casting day", 0, {"is_line_start": True, "minimum": True})]


def test_another_text_width_style_or_font_is_another_line(widths, asked, fonts):
    one = ("casting day", Style(fonts), None, 0, 0)
    widths(*one, is_line_start=True)
    widths(*one, is_line_start=False)
    widths("casting", *one[1:], is_line_start=True)
    widths(*one[:3], None, 0, is_line_start=True)
    widths(one[0], Style(Fonts()), *one[2:], is_line_start=True)
    for name in DECIDES:
        widths(one[0], Style(fonts, **{name: "else"}), *one[2:], is_line_start=True)
    assert len(asked) == 5 + len(DECIDES)


def test_fonts_that_gain_one_are_measured_anew(widths, asked, fonts):
    for _time in range(2):
        widths("casting day", Style(fonts), None, 0, 0)
        widths.forget(fonts)
    assert len(asked) == 2


def test_a_table_is_the_same_bytes_as_without(monkeypatch):
    """Styles that a width depends on stand side by side in it, so that one taken for another would show."""
    page = PAGE.format(CELLS)
    setter = Typesetter(find, KINDS)
    twice = [setter.pdf(page) for _time in range(2)]
    monkeypatch.setattr(preferred, "split_first_line", LINE_WIDTHS.measure)
    assert [Typesetter(find, KINDS).pdf(page)] * 2 == twice
