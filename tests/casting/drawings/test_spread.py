"""Past figures drawn on a line: a ring each, and words that stay within the drawing."""

import re
from types import SimpleNamespace

from casting.calc.advice.learning import spread_of
from casting.drawings.spread import HIGH_MM, WIDE_MM, draw_spread


def drawn(values, default):
    line = SimpleNamespace(
        called="Share <b>",
        spread=spread_of(values),
        default=default,
        figures=[SimpleNamespace(value=value) for value in values],
        words=lambda value: f"{value:g} %",
    )
    return draw_spread(line)


def test_each_figure_is_a_ring_between_the_ends():
    svg = drawn([18, 18.5, 19], 15)
    # From 15 to 19 over 100 mm behind a margin of 5: 18 lies at 80, 19 at 105.
    assert re.findall(r'cx="([\d.]+)"', svg) == ["80", "92.5", "105"]
    assert "18.5 %" in svg and "now 15 %" in svg and "Share &lt;b&gt;" in svg


def test_words_at_an_edge_are_moved_in_and_equal_figures_are_drawn_in_the_middle():
    svg = drawn([4, 4], 4)
    assert set(re.findall(r'cx="([\d.]+)"', svg)) == {"55"}
    for x in re.findall(r'<text[^>]* x="([\d.]+)"', drawn([100000, 1], 1)):
        assert 0 < float(x) < WIDE_MM
    assert f'viewBox="0 0 {WIDE_MM:g} {HIGH_MM:g}"' in svg
