"""A drawing for paper: the same ink in fewer pieces."""

from django.utils.safestring import SafeString

from casting.papers.pdf.svg_minify import lean

HEAD = '<svg viewBox="0 0 9 9"><title>A flask</title>'


def leaned(pieces):
    drawing = lean(SafeString(f"{HEAD}{pieces}</svg>"))
    assert drawing.startswith(HEAD) and drawing.endswith("</svg>")
    return drawing.removeprefix(HEAD).removesuffix("</svg>")


def test_lines_of_one_look_in_a_row_become_one_path():
    thin, bold = ' stroke="#000"', ' stroke="#000" stroke-width="2"'
    lines = [f'<line x1="{x}" y1="0" x2="{x}" y2="5"{look}/>' for x, look in ((1, thin), (2, thin), (3, bold))]
    assert leaned("".join(lines)) == (
        f'<path d="M1 0L1 5M2 0L2 5" fill="none"{thin}/><path d="M3 0L3 5" fill="none"{bold}/>'
    )


def test_what_only_a_screen_uses_is_left_out():
    assert leaned('<g><title>E4</title><path class="wax" d="M0 0"/></g>') == '<path d="M0 0"/>'
    assert leaned('<rect transform="rotate(0 1 2)" x="1"/>') == '<rect x="1"/>'
    assert leaned('<rect transform="rotate(30 1 2)" x="1"/>') == '<rect transform="rotate(30 1 2)" x="1"/>'


def test_a_centred_text_begins_half_its_width_before_its_middle():
    """All figures of the font are as wide as each other, so of two texts of figures one begins twice as far left."""
    begins = []
    for words in ("11", "1111"):
        piece = leaned(f'<text x="10" y="1" font-size="2" fill="#000" text-anchor="middle">{words}</text>')
        assert "text-anchor" not in piece and piece.endswith(f">{words}</text>")
        begins.append(10 - float(piece.split('"')[1]))
    assert abs(begins[1] - 2 * begins[0]) < 0.002 and begins[0] > 0


def test_a_centred_text_that_the_font_cannot_draw_stays_centred():
    piece = '<text x="10" y="1" font-size="2" fill="#000" text-anchor="middle">\u6f22</text>'
    assert leaned(piece) == piece
