"""The flask cards: two views at true scale, figures of the plan, places on a sheet."""

import io
import json
import re
from collections import Counter
from datetime import datetime
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pdfplumber
import pypdfium2
import pytest

from casting.drawings.svg import drawing, line, text
from casting.models import Wax
from casting.papers.pdf.render import render
from casting.papers.pdf.svg_minify import lean
from casting.papers.sheets.flask_cards import flask_cards_html
from casting.papers.sheets.label_stock import FIXTURES, all_stock, layout_on, plain_stock, stock_of
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import MM_PER_POINT, pages_of, places_of, sizes_of, typeset_words, words_by_type
from tests.casting_factories import handed_in
from tests.days.written_plans import SIZE, plan_of_24, plan_with

PAPER_MM = {"A4": (210, 297), "Letter": (215.9, 279.4)}


def plan_of(flasks):
    """The first flasks of the day of 24 waxes, three waxes in each."""
    plan, day = plan_of_24()
    return plan_with(plan["flasks"][:flasks]), day | {"waxes": day["waxes"][: 3 * flasks]}


def plan_of_widths(*widths):
    """A flask of each inside diameter, 63.5 mm high."""
    plan, day = plan_of(len(widths))
    day["flask_sizes"] = [
        SIZE | {"key": f"{width:g}", "diameter_mm": width, "outside_mm": width + 4} for width in sorted({*widths})
    ]
    for flask, width in zip(plan["flasks"], widths, strict=True):
        flask["size"] = f"{width:g}"
    return plan, day


def round_ones(pdf):
    """How many circles of each diameter over 40 mm stand on each page, in tenths of a mm."""
    return [
        Counter(round(width, 1) for width, height in page if abs(width - height) < 0.01 and width > 40)
        for page in sizes_of(pdf, "curve")
    ]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_both_views_are_at_true_scale_and_a_rule_of_100_mm_is_on_every_sheet(day, teacher, paper):
    plan = stored(day, teacher, *plan_of(4))
    plan.day.course.school.paper = paper
    pdf = render(flask_cards_html(job_of(plan)))
    outlines = [sum(curve == pytest.approx((63.5, 63.5), abs=0.1) for curve in page) for page in sizes_of(pdf, "curve")]
    # Four flasks, three cards a sheet, two views a card.
    assert outlines == [6, 2]
    for page, lines in zip(pages_of(pdf), sizes_of(pdf, "line"), strict=True):
        assert (100, 0) in [(round(width, 2), round(height, 2)) for width, height in lines]
        assert "Print at 100 %" in page


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(("flasks", "sheets"), [(1, 1), (4, 2), (8, 3)])
def test_sheets_for_3_12_and_24_waxes(day, teacher, paper, flasks, sheets):
    plan = stored(day, teacher, *plan_of(flasks))
    plan.day.course.school.paper = paper
    pages = pypdfium2.PdfDocument(render(flask_cards_html(job_of(plan))))
    assert len(pages) == sheets
    size = [length * 25.4 / 72 for length in pages[0].get_size()]
    assert size == pytest.approx(PAPER_MM[paper], abs=0.2)


def test_figures_and_times_are_those_of_the_plan(plan_24):
    text = " ".join(pages_of(render(flask_cards_html(job_of(plan_24)))))
    for flask in json.loads(plan_24.plan_file)["flasks"]:
        out_at, quench_at = (datetime.fromisoformat(flask[key]) for key in ("out_at", "quench_at"))
        said = (
            rf"{flask['label']} 63.5\s?mm .*?Sterling silver 63.5 × 63.5 mm 3 waxes "
            rf"weigh out ?{flask['charge_g']:.1f} g "
            rf"powder {flask['powder_g']} g water {flask['water_g']} g flask 538 °C metal 970 °C.*?"
            rf"pour Sun {out_at:%H:%M} quench, not before Sun {quench_at:%H:%M} break out, clean under water"
        )
        assert re.search(said, text)


def test_every_step_from_the_plan_has_its_time_and_one_that_is_not_there_says_so(day, teacher):
    plan, day_file = plan_of(1)
    mix = next(step for step in plan["steps"] if step["do"] == "mix")
    kiln_on = next(step for step in plan["steps"] if step["do"] == "kiln_on")
    bare = pages_of(render(flask_cards_html(job_of(stored(day, teacher, plan, day_file)))))[0]
    # The hand-written mix is 200 min before the kiln goes on at Sat 20:25.
    fired = "top heat Sun 04:42 to 06:42 pour Sun 10:00"
    assert f"mix Sat 17:05 set until not recorded load before Sat 20:25 {fired}" in bare
    plan["steps"].append(mix | {"do": "set", "at": mix["until"], "until": "2027-03-13T19:05:00-07:00"})
    plan["steps"].append(kiln_on | {"do": "load", "flasks": ["A"]})
    full = pages_of(render(flask_cards_html(job_of(stored(day, teacher, plan, day_file, revision=2)))))[0]
    assert f"mix Sat 17:05 set until Sat 19:05 load Sat 20:25 {fired}" in full


def test_a_school_of_fahrenheit_and_pennyweight_reads_its_own(plan_1):
    school = plan_1.day.course.school
    school.temperature_unit, school.weight_unit = "F", "dwt"
    text = pages_of(render(flask_cards_html(job_of(plan_1))))[0]
    # 538 C = 1000.4 F, 970 C = 1778 F; 50 g / 1.55517384 = 32.151 dwt, up to 32.16.
    assert "flask 1000 °F metal 1778 °F" in text
    assert re.search("weigh out ?32.16 dwt 50.0 g", text)
    sized = words_by_type(render(flask_cards_html(job_of(plan_1))), 0, 7)
    assert dict(sized)["32.16"] >= 2 * dict(sized)["50.0"]


def test_every_tag_stands_on_its_card_with_its_hour(plan_24):
    text = " ".join(pages_of(render(flask_cards_html(job_of(plan_24)))))
    for label in "ABCDEFGH":
        assert f"{label}1 12 o'clock {label}2 8 o'clock {label}3 4 o'clock" in text


def test_the_code_names_the_flask_on_the_page_of_the_one_who_prints(plan_1):
    page = flask_cards_html(job_of(plan_1, origin="https://bench.example.org"))
    assert f"https://bench.example.org/days/{plan_1.day_id}/flasks/#flask-A" in page
    assert '<svg xmlns="http://www.w3.org/2000/svg" viewBox' in page


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_wide_flasks_get_larger_cards_and_keep_their_scale(day, teacher, paper):
    widths = (63.5, 50.8, 76.2, 88.9, 101.6)
    plan = stored(day, teacher, *plan_of_widths(*widths))
    plan.day.course.school.paper = paper
    pdf = render(flask_cards_html(job_of(plan)))
    found = sum(round_ones(pdf), Counter())
    assert {width: found[width] for width in widths} == dict.fromkeys(widths, 2)
    assert all("/ " + str(len(pages_of(pdf))) in page for page in pages_of(pdf))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("width", [50.8, 63.5, 76.2, 88.9, 101.6, 180.0])
def test_no_word_is_cut_off_at_the_edge_of_its_card(day, teacher, paper, width):
    plan = stored(day, teacher, *plan_of_widths(width))
    plan.day.course.school.paper, plan.day.course.school.weight_unit = paper, "dwt"
    page = flask_cards_html(job_of(plan))
    stock = stock_of(re.search(r'class="cards (\S+)', page)[1])
    left, top = stock.corner(0)
    words = places_of(render(page), 0)
    inside = [word for word in words if word[2] > top and word[4] < PAPER_MM[paper][1] - 13]
    assert {word[0] for word in inside} >= {"A", "weigh", "break", "A1", "o'clock"}
    for word, x0, _y0, x1, y1 in inside:
        assert left + 1 <= x0 and x1 <= left + stock.width_mm - 1, word
        assert y1 <= top + stock.height_mm - 0.8, word


def test_a_flask_wider_than_the_paper_says_so_and_costs_no_other_card(day, teacher):
    pdf = render(flask_cards_html(job_of(stored(day, teacher, *plan_of_widths(63.5, 180.0)))))
    pages = pages_of(pdf)
    assert len(pages) == 2
    assert "too wide to draw at 1:1" in pages[1] and "B1 12 o'clock" in pages[1]
    assert round_ones(pdf)[0][63.5] == 2 and not round_ones(pdf)[1]


def test_every_card_of_every_stock_lies_on_its_paper_and_apart_from_the_others():
    for stock in all_stock():
        wide, high = PAPER_MM[stock.paper]
        corners = [stock.corner(place) for place in range(stock.places)]
        for left, top in corners:
            # Ten millimetres for the printer's edge; 22 above for the head and the check rule, 12 below for the foot.
            assert left >= 10 and left + stock.width_mm <= wide - 9.9
            assert top >= 22 and top + stock.height_mm <= high - 12
        for (_, above), (_, below) in pairwise(corners):
            assert below >= above + stock.height_mm or stock.columns > 1


def test_stock_has_one_row_a_key_and_plain_paper_for_both_papers():
    keys = [stock.key for stock in all_stock()]
    assert len(keys) == len(set(keys))
    assert all(re.fullmatch("[a-z0-9-]+", key) for key in keys)
    for paper in PAPER_MM:
        # 101.6 mm, 4 in, is the widest flask of the shelf.
        assert layout_on(plain_stock(paper)[-1], 101.6, 12) == "stacked"


def test_used_cards_are_skipped_and_a_nudge_moves_the_others(plan_1):
    def outline(**how):
        found = re.findall(r"\.place-(\d) \{ left: (\S+)mm; top: (\S+)mm", flask_cards_html(job_of(plan_1), **how))
        return {int(place): (float(left), float(top)) for place, left, top in found}

    plain, nudged = outline(stock="a4-1x3-apart"), outline(stock="a4-1x3-apart", nudge_x_mm=0.5, nudge_y_mm=-1.2)
    assert [(round(x - plain[n][0], 3), round(y - plain[n][1], 3)) for n, (x, y) in nudged.items()] == [(0.5, -1.2)] * 3
    assert 'class="card place-0 ' in flask_cards_html(job_of(plan_1), stock="a4-1x3-apart")
    skipped = flask_cards_html(job_of(plan_1), stock="a4-1x3-apart", skip=2)
    assert 'class="card place-2 ' in skipped and 'class="card place-0 ' not in skipped


def test_cards_after_the_skipped_ones_run_on_to_the_next_sheet(plan_24):
    pages = pages_of(render(flask_cards_html(job_of(plan_24), stock="a4-1x3", skip=2)))
    # One card on the first sheet, then three, three and one.
    assert [page.count("break out") for page in pages] == [1, 3, 3, 1]


def test_a_flask_too_large_for_the_chosen_card_is_printed_after_the_others(day, teacher):
    plan = stored(day, teacher, *plan_of_widths(88.9, 63.5))
    pdf = render(flask_cards_html(job_of(plan), stock="a4-1x3-apart"))
    pages = pages_of(pdf)
    assert ["Flasks too large for the cards chosen" in page for page in pages] == [False, True]
    words = typeset_words(pdf)[1]
    title, rule = (next(one for one in words if one.text == text) for text in ("Flasks", "mm."))
    assert title.x0 > rule.x1 + 20
    assert "B1 12 o'clock" in pages[0] and "A1 12 o'clock" in pages[1]


LABELS = [stock for stock in all_stock() if not stock.views]
PAD_MM = 4


@pytest.mark.parametrize("stock", LABELS, ids=lambda stock: stock.key)
def test_every_word_of_a_label_lies_inside_it_and_says_the_flask(day, teacher, stock):
    """The longest words that a label may get: a long metal and owner, degrees in Fahrenheit, times not in the plan."""
    plan_file, day_file = plan_of(8)
    shelf = json.loads((FIXTURES / "shelf.json").read_text())["shelf"]
    sterling = next(row for row in shelf["alloys"] if row["key"] == "sterling")
    day_file["alloys"] = [sterling | {"name": "Sterling silver of the third melting shop"}]
    for flask in plan_file["flasks"]:
        flask["owner"] = "student-with-a-name-that-is-long"
    for wax in day_file["waxes"]:
        wax["owner"] = "student-with-a-name-that-is-long"
    plan_file["steps"] = [step for step in plan_file["steps"] if step["do"] != "load"]
    plan = stored(day, teacher, plan_file, day_file)
    school = plan.day.course.school
    school.paper, school.temperature_unit, school.weight_unit = stock.paper, "F", "dwt"
    pdf = render(flask_cards_html(job_of(plan), stock=stock.key))
    assert len(pages_of(pdf)) == 1
    left = {place: [] for place in range(stock.places)}
    foot = PAPER_MM[stock.paper][1] - 12
    for word, x0, y0, x1, y1 in places_of(pdf, 0):
        if not 22 < y0 < foot:
            continue
        place = next(
            place
            for place in range(stock.places)
            if stock.corner(place)[0] + PAD_MM - 0.2 <= x0
            and x1 <= stock.corner(place)[0] + stock.width_mm - PAD_MM + 0.2
            and stock.corner(place)[1] + PAD_MM - 1 <= y0
            and y1 <= stock.corner(place)[1] + stock.height_mm - PAD_MM + 0.2
        )
        left[place].append(word)
    for place, label in enumerate("ABCDEFGH"):
        said = " ".join(left[place])
        assert re.search(rf"\b{label}\b.*Sterling silver.*1000 ?°F.*1778 ?°F.*mix .*load .*pour Sun.*quench", said)
        assert "The true-size views are on the flask cards." in said
    assert min(size for _word, size in words_by_type(pdf, 0, 0)) >= 7


@pytest.mark.parametrize("key", ["a4-1x3-apart", "letter-1x3-apart"])
@pytest.mark.parametrize(("used", "x", "y"), [(0, 0, 0), (2, 0.7, -1.3)])
def test_cards_lie_in_the_pdf_where_the_stock_and_the_nudge_put_them(day, teacher, key, used, x, y):
    stock = stock_of(key)
    plan = stored(day, teacher, *plan_of(4))
    plan.day.course.school.paper = stock.paper
    with pdfplumber.open(io.BytesIO(render(flask_cards_html(job_of(plan), key, used, x, y)))) as opened:
        rings = [
            sorted((ring["x0"] * MM_PER_POINT, ring["top"] * MM_PER_POINT) for ring in page.curves if ring_of(ring))
            for page in opened.pages
        ]
    # 1.5 mm of card and 1.5 mm of drawing left of the flask; 1.5 and 7.6 mm above it. Views stand 68.5 mm apart.
    wanted = [
        sorted(
            (corner[0] + 3 + x + beside, corner[1] + 9.1 + y)
            for place in places
            for corner in [stock.corner(place)]
            for beside in (0, 68.5)
        )
        for places in ([[2], [0, 1, 2]] if used else [[0, 1, 2], [0]])
    ]
    assert [len(page) for page in rings] == [len(page) for page in wanted]
    for page, places in zip(rings, wanted, strict=True):
        for found, place in zip(page, places, strict=True):
            assert found == pytest.approx(place, abs=0.1)


def ring_of(curve):
    """True for the outline of a flask of 63.5 mm."""
    return abs(curve["width"] * MM_PER_POINT - 63.5) < 0.1 and abs(curve["height"] * MM_PER_POINT - 63.5) < 0.1


@pytest.mark.parametrize("stock", LABELS, ids=lambda stock: stock.key)
def test_labels_in_two_columns_lie_where_the_stock_and_the_nudge_put_them(day, teacher, stock):
    plan = stored(day, teacher, *plan_of(4))
    plan.day.course.school.paper = stock.paper
    words = places_of(render(flask_cards_html(job_of(plan), stock.key, 3, -1.1, 0.4)), 0)
    for nth, label in enumerate("ABCD"):
        left, top = stock.corner(3 + nth)
        # The words of a label begin 4 mm from its edge; a line of the metal begins with no gap of its own letter.
        assert [
            word for word, x0, y0, *_ in words
            if word == "Sterling" and abs(x0 - (left + 4 - 1.1)) < 0.4 and top + 15 < y0 < top + 27
        ] == ["Sterling"], label  # fmt: skip


def test_labels_leave_their_first_places_to_the_edge_of_their_room():
    # A4, 11 mm left of two labels of 92 with 4 between: 11 on the right as well, less 5 for the printer's edge: 6,
    # cut to 5. 25 mm above less 21.5: 3.5 up; 297 - 25 - 4 x 60 - 3 x 2 = 26 below, less 10.5: 15.5, cut to 5.
    assert stock_of("a4-2x4-apart").nudge_room() == ((-5, 5), (-3.5, 5))
    # Letter, 279.4 - 23 - 3 x 80 - 2 x 2 = 12.4, less 10.5: 1.9 down.
    assert stock_of("letter-1x3-apart").nudge_room() == ((-5, 5), (-1.5, 1.9))


def test_cut_lines_are_printed_only_where_cards_are_cut(plan_1):
    assert 'class="cards a4-1x3 cut"' in flask_cards_html(job_of(plan_1))
    assert 'class="cards a4-1x3-apart"' in flask_cards_html(job_of(plan_1), stock="a4-1x3-apart")
    with pytest.raises(KeyError):
        stock_of("none")


@pytest.mark.parametrize("what", ["<script>alert(1)</script>", "{{ settings.SECRET_KEY }}", "file:///etc/hostname"])
def test_what_people_type_is_printed_as_text_and_breaks_no_card(day, teacher, what):
    plan, day_file = plan_of(1)
    long = what + " " + "x" * 150
    shelf = json.loads((FIXTURES / "shelf.json").read_text())["shelf"]
    sterling = next(row for row in shelf["alloys"] if row["key"] == "sterling")
    day_file["alloys"] = [sterling | {"name": long}]
    plan["flasks"][0]["owner"] = "student-A1"
    for wax in day_file["waxes"]:
        wax["owner"] = "student-A1"
    wax = handed_in(day)
    type(wax.student).objects.filter(pk=wax.student_id).update(called=long[:80])
    Wax.objects.filter(pk=wax.pk).update(tag="A1")
    pages = pages_of(render(flask_cards_html(job_of(stored(day, teacher, plan, day_file)))))
    assert len(pages) == 1 and pages[0].count("break out") == 1
    # Once as the metal, once as the owner, as far as there is room.
    assert re.sub(r"\s", "", pages[0]).count(re.sub(r"\s", "", what)[:20]) == 2


def test_a_day_without_a_flask_needs_no_cards(plan_0):
    assert flask_cards_html(job_of(plan_0)) is None


def test_a_lean_drawing_prints_the_same_ink_at_the_same_places(plan_24, monkeypatch):
    leaner = render(flask_cards_html(job_of(plan_24)))
    monkeypatch.setattr("casting.papers.sheets.flask_cards.lean", lambda drawing: drawing)
    whole = render(flask_cards_html(job_of(plan_24)))
    assert len(leaner) < 0.75 * len(whole)
    for kind in ("line", "curve", "rect"):
        for less, more in zip(sizes_of(leaner, kind), sizes_of(whole, kind), strict=True):
            assert np.asarray(sorted(less)) == pytest.approx(np.asarray(sorted(more)), abs=0.01)
    # A text that was centred by the setter and one that begins where the font's widths say.
    for page in range(len(pages_of(whole))):
        for (word, *less), (same, *more) in zip(places_of(leaner, page), places_of(whole, page), strict=True):
            assert word == same and less == pytest.approx(more, abs=0.05)


def test_a_lean_drawing_keeps_its_own_title_and_what_the_font_lacks():
    tag = text(10, 5, "\N{SNOWMAN}", 3, text_anchor="middle")
    drawn = drawing([line(0, 0, 1, 1), line(1, 1, 2, 0), tag], title="A & B", width_mm=20, height_mm=9, class_="flask")
    leaner = lean(drawn)
    assert "<title>A &amp; B</title>" in leaner and 'text-anchor="middle"' in leaner
    assert 'd="M0 0L1 1M1 1L2 0"' in leaner and "<line" not in leaner
    ElementTree.fromstring(leaner)
