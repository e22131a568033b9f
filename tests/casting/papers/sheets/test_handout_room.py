"""How the handout keeps to two sides on the fullest days, and what its third side holds where it cannot."""

import pytest

from casting.calc.values.enums import Level
from casting.models import Alloy, CautionCleared, SafetyRecord
from casting.models.safety import PLACE_NAMES
from casting.papers.pdf.render import render
from casting.papers.sheets.handout import handout_es_html, handout_html, setting_of
from casting.papers.sheets.handout_room import FirstSide, halves, longer, place_halves, rows
from casting.presenters.cautions import cautions_of_day
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import page_sizes_of, pages_of, typeset_words
from tests.casting.papers.test_page_counts import check_edges

WHERE = "In the corridor past the bench office, on the wall at shoulder height, under the lamp; ask at the desk. "
LANGUAGES = pytest.mark.parametrize("html_of", [handout_html, handout_es_html], ids=["en", "es"])
PAPERS = pytest.mark.parametrize("paper", ["A4", "Letter"])


def hazardous(day, paper, places=False):
    """A day of every hazard and every metal of the shelf; its places as long as the record takes them, if asked."""
    day.course.school.paper = paper
    day.alloys.set(Alloy.objects.filter(school=day.course.school))
    facts = {"fuel": "acetylene", "melter": "torch", "youngest_age": 11, "hours_unattended": 20, "eyewash": False}
    facts |= dict.fromkeys(("solvents", "steam_dewax", "outdoors", "unknown_metal", "asbestos", "old_fibre"), True)
    facts |= dict.fromkeys(("melt_extraction", "co_alarm", "kiln_vent_outside"), False) | {"gauge_unit": None}
    if places:
        most = {name: SafetyRecord._meta.get_field(name).max_length for name in PLACE_NAMES}
        facts |= {name: (WHERE * 2)[: letters - 4] + " end" for name, letters in most.items()}
    SafetyRecord.objects.filter(school=day.course.school).update(**facts, people_near_kiln=True)
    return day


def clear(day, many, reason):
    """Clear so many STOPs of the day, in the order in which they stand."""
    stops = [one for one in cautions_of_day(day) if one.level is Level.STOP and one.clearable and not one.cleared_by]
    assert len(stops) >= many
    for one in stops[:many]:
        CautionCleared.objects.create(day=day, caution=one.id, text=one.text, by="Imre Valdane", reason=reason)


def sides_of(pdf):
    """The text of each side, after it is known that each is set within its edges and none holds a line or two."""
    check_edges(pdf)
    for words in typeset_words(pdf):
        body = {round(word.top) for word in words if 30 < word.top < 740}
        assert len(body) >= 8
    return pages_of(pdf)


@LANGUAGES
@PAPERS
def test_places_of_every_length_on_a_day_of_every_hazard(day, html_of, paper):
    page = html_of(job_of(hazardous(day, paper, places=True)))
    first, *others = sides_of(render(page))
    assert first.count(" end") == len(PLACE_NAMES)
    # Spanish takes more room than Letter has: what is used then goes to a third side, and the first says so.
    if (html_of, paper) == (handout_es_html, "Letter"):
        assert len(others) == 2 and "3 caras" in first and "Lo que usamos hoy: mira la cara 3." in first
        assert "Bronce al silicio" in others[1] and "Bronce al silicio;" not in first + others[0]
    else:
        assert len(others) == 1 and "3 sides" not in page and "3 caras" not in page


# With every place recorded, in both languages and on both papers; once with none.
@pytest.mark.parametrize(
    ("html_of", "paper", "places"),
    [
        (handout_html, "A4", False),
        (handout_html, "Letter", True),
        (handout_es_html, "A4", True),
        (handout_es_html, "Letter", True),
    ],
)
def test_seven_stops_cleared_at_length_stand_whole_on_a_third_side(day, html_of, paper, places):
    hazardous(day, paper, places)
    clear(day, 7, ("Hose, bottle and gauge soaped at eight, nothing bubbled in ten minutes; " * 3)[:196] + " end")
    first, second, third = sides_of(render(html_of(job_of(day))))
    assert "3 sides" in first or "3 caras" in first
    assert third.count("Imre Valdane") == 7 and "soaped" not in first + second
    assert "Cleared STOPs: see side 3" in first or "ALTO levantados: mira en la cara 3" in first


@LANGUAGES
@PAPERS
def test_a_stop_cleared_in_a_word_stays_beside_the_box(day, html_of, paper):
    day.course.school.paper = paper
    SafetyRecord.objects.filter(school=day.course.school).update(co_alarm=False)
    clear(day, 1, "Borrowed one")
    first, second = sides_of(render(html_of(job_of(day))))
    assert "Imre Valdane: Borrowed one" in first and "3 sides" not in first + second


def first_side(**changed):
    plain = {
        "stops": (["Do not pour."], ["Stay out."]), "today": ("Metal silver", (["plaster"], ["torch"])),
        "terms": "Flask: the tube.", "wear": (["Gloves."], ["Boots."]), "places": [("Eyewash", "left")] * 2,
        "cleared": [],
    }  # fmt: skip
    return FirstSide(**plain | changed)


def test_a_side_is_as_high_as_its_rows():
    # By hand, in points: headings 113; the box's longer column of 1 row and its gap, 15.2 x 1.15 = 17.48; then terms,
    # metal, the longer column of what is used and of what to wear, and two places: 6 rows of 12.6 = 75.6.
    assert first_side().height_pt() == pytest.approx(113 + 17.48 + 75.6)
    # Set closer, the two places stand side by side: 5 rows of 11.5.
    assert first_side().height_pt(crowded=True) == pytest.approx(113 + 17.48 + 57.5)


def test_what_has_no_room_moves_in_its_order():
    none = {"crowded": False, "cleared_apart": False, "today_apart": False}
    side = first_side(cleared=["Cleared by Imre Valdane. " * 20])
    # 500 letters are 5 rows of 104 letters, 63 points on 205.08; with one row in their place, 217.68.
    assert setting_of(side, 270) == none
    assert setting_of(side, 220) == none | {"cleared_apart": True}
    assert setting_of(side, 200) == {"crowded": True, "cleared_apart": True, "today_apart": False}
    assert setting_of(first_side(), 190) == none | {"crowded": True}
    assert setting_of(first_side(), 180) == {"crowded": True, "cleared_apart": False, "today_apart": True}


def test_columns_are_halved_by_length_and_in_order():
    assert halves([5, 1, 1, 1, 1], lambda item: item) == ([5], [1, 1, 1, 1])
    assert halves([1, 1, 1, 1], lambda item: item) == ([1, 1], [1, 1])


def test_rows_and_columns_are_counted():
    assert rows("", 10) == 1 and rows("one two three", 7) == 2
    assert longer((["a b", "c"], ["d e f"]), 1) == 3
    assert place_halves([("A", "1"), ("B", "2"), ("C", "3")]) == (["A 1", "B 2"], ["C 3"])


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("html_of", [handout_html, handout_es_html], ids=["en", "es"])
def test_a_handout_with_a_star_says_what_it_means_and_keeps_its_foot_off_the_edge(day, html_of, paper):
    job = job_of(hazardous(day, paper))
    SafetyRecord.objects.update(youngest_age=11)
    pdf = render(html_of(job))
    assert len(pages_of(pdf)) == 2
    for (_width, height), words in zip(page_sizes_of(pdf), typeset_words(pdf), strict=True):
        # A desktop printer leaves 4 mm at the end of a sheet white (common practice, no source).
        assert height - max(word.bottom for word in words) > 4 * 72 / 25.4
    first, second = (" ".join(page.split()) for page in pages_of(pdf))
    assert "12* " in first and ("* from memory: check" in second or "* de memoria: " in second)
