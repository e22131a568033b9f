"""The day plan on paper."""

import io
import json
import re
from dataclasses import replace

import pikepdf
import pypdfium2
import pytest
from fontTools.ttLib import TTFont

from casting.models import Alloy, Flask, Wax
from casting.papers.pdf.render import STATIC, render
from casting.papers.sheets.day_plan import (
    day_plan_html,
    mounts_of,
    sizes_to_fetch,
    words_beside,
)
from casting.presenters.plan_reader import read_plan
from tests.casting.calc.cautions.cases import stones_day
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of, sizes_of, typeset_words
from tests.casting.papers.sheets.two_owners import called, one_alloy, two_kilns
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.days.day_file import a_day_file, planned, wax_row
from tests.days.written_plans import as_text, at, plan_of_24, plan_of_one

MM_PER_POINT = 25.4 / 72


def words_of(pdf):
    """The text of a PDF with its white space as single spaces."""
    pages = pypdfium2.PdfDocument(pdf)
    return re.sub(r"\s+", " ", " ".join(page.get_textpage().get_text_range() for page in pages))


def curves_of(pdf):
    """Width and height of each curved outline, in mm."""
    return [curve for page in sizes_of(pdf, "curve") for curve in page]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_class_of_24_has_the_two_sides_of_one_sheet_and_flasks_at_a_third(plan_24, paper):
    plan_24.day.course.school.paper = paper
    pdf = render(day_plan_html(job_of(plan_24)))
    assert len(pypdfium2.PdfDocument(pdf)) == 2
    # 63.5 / 3 = 21.17 mm
    assert sum(curve == pytest.approx((21.17, 21.17), abs=0.05) for curve in curves_of(pdf)) == 8
    assert "drawn at 1:3; true size: flask cards" in words_of(pdf)


def test_what_is_weighed_is_the_largest_and_no_sentence_is_small(plan_24):
    words = [word for page in typeset_words(render(day_plan_html(job_of(plan_24)))) for word in page]
    # Charge, powder and water of a flask or bowl, all the powder (8 x 283) and water (8 x 113.2), all the silver.
    for figure, times in {"119.5": 8, "566": 4, "226.4": 4, "2264": 1, "905.6": 1, "956.0": 1}.items():
        found = [word for word in words if word.text == figure]
        assert len(found) == times
        assert all(word.size >= 11.9 and "Bold" in word.font for word in found), figure
    for begins in ("Weigh", "Vacuum", "Stand", "Quench", "student-A1"):
        assert all(word.size >= 8.9 for word in words if word.text == begins), begins


@pytest.mark.parametrize(("paper", "width_mm", "height_mm"), [("A4", 210, 297), ("Letter", 215.9, 279.4)])
def test_the_sheet_is_the_schools(plan_1, paper, width_mm, height_mm):
    plan_1.day.course.school.paper = paper
    page = pypdfium2.PdfDocument(render(day_plan_html(job_of(plan_1))))[0]
    size = [length * MM_PER_POINT for length in page.get_size()]
    assert size == pytest.approx([width_mm, height_mm], abs=0.2)


def test_the_charge_of_every_flask_can_be_read_back(plan_24):
    text = words_of(render(day_plan_html(job_of(plan_24))))
    for flask in json.loads(plan_24.plan_file)["flasks"]:
        assert re.search(rf"{flask['label']} Sterling silver {flask['charge_g']:.1f} g", text)


def test_every_sheet_says_which_plan_it_is_and_what_it_replaces(plan_1):
    pages = pypdfium2.PdfDocument(render(day_plan_html(job_of(plan_1))))
    for nth, page in enumerate(pages, start=1):
        text = re.sub(r"\s+", " ", page.get_textpage().get_text_range())
        assert "Revision 3, made Wed 10 Mar 2027, 12:05. Replaces revision 2" in text
        assert f"{nth} / {len(pages)}" in text
        assert "In doubt, do not pour." in text


def test_the_first_revision_replaces_nothing(plan_24):
    assert "Replaces" not in day_plan_html(job_of(plan_24))


def test_every_sheet_says_that_waxes_have_changed_since(day, teacher):
    handed_in(day)
    plan = make_plan(day, by=teacher)
    assert "Waxes have changed" not in day_plan_html(job_of(plan))
    handed_in(day)
    pdf = render(day_plan_html(job_of(plan)))
    assert pdf == render(day_plan_html(job_of(plan)))
    for page in pypdfium2.PdfDocument(pdf):
        text = re.sub(r"\s+", " ", page.get_textpage().get_text_range())
        assert "Waxes have changed since this plan was made" in text


def test_the_pdf_is_dated_by_its_plan(plan_1):
    with pikepdf.open(io.BytesIO(render(day_plan_html(job_of(plan_1))))) as pdf:
        assert str(pdf.docinfo["/CreationDate"]).startswith("D:20270310190500")


def fonts_of(pdf):
    """Each font of a PDF with its file, None if it has none."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        for thing in opened.objects:
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/FontDescriptor":
                yield str(thing.FontName), thing.get("/FontFile2") or thing.get("/FontFile3")


def test_every_font_is_ours_and_in_the_file(plan_24):
    fonts = list(fonts_of(render(day_plan_html(job_of(plan_24)))))
    assert len(fonts) == 2
    for name, file in fonts:
        assert name.partition("+")[2].startswith("Bench-Sans") and file is not None


def test_our_font_has_the_letters_of_a_name(plan_own):
    names = {"A1": "Zoë Łuczak", "A2": "Ελένη Κρηνιώ", "A3": "Юлія Ємець", "C1": "Đặng Ngọc", "C2": "½ → ✓"}
    for tag, name in names.items():
        called(plan_own, tag, name)
    pdf = render(day_plan_html(job_of(plan_own)))
    text = words_of(pdf)
    assert all(name in text for name in names.values())
    assert {name.partition("+")[2].startswith("Bench-Sans") for name, _file in fonts_of(pdf)} == {True}


def test_every_character_of_the_page_is_in_both_weights(plan_24):
    words = set(re.sub(r"<[^>]*>", "", day_plan_html(job_of(plan_24)))) - set("\n\t")
    for weight in (400, 700):
        have = TTFont(STATIC / "fonts" / f"bench-sans-{weight}.ttf").getBestCmap()
        assert not {letter for letter in words if ord(letter) not in have}


@pytest.mark.parametrize("what", ["<script>alert(1)</script>", "{{ settings.SECRET_KEY }}", "file:///etc/hostname"])
def test_what_a_student_types_is_printed_as_text(day, plan_1, what):
    wax = handed_in(day, what=what)
    Wax.objects.filter(pk=wax.pk).update(tag="w1")
    assert what in words_of(render(day_plan_html(job_of(plan_1))))


def test_a_wax_left_out_is_named_with_its_reason(plan_1):
    text = words_of(render(day_plan_html(job_of(plan_1))))
    assert "w9 student-w9: 58 mm tall; the tallest flask takes 34.6 mm." in text


def test_common_practice_stands_at_its_step(plan_24):
    text = words_of(render(day_plan_html(job_of(plan_24))))
    for practice in (
        "Weigh wax and sprue together",
        "Vacuum the bowl after mixing, pour, then vacuum each flask",
        "opening down and leave room below for the wax",
        "vacuum table draws the metal in",
        "Quench silver in water",
        "Then saw off the sprue and grind the stub",
    ):
        assert practice in text


def test_no_solvent_and_no_setting_of_stones_is_advertised_on_a_casting_day(plan_24):
    page = day_plan_html(job_of(plan_24))
    assert "ighter fluid on" not in page and "seat" not in page


def test_no_silver_is_quenched_where_none_is_poured(day, teacher):
    plan, day_file = plan_of_24()
    day_file["alloys"] = [one_alloy({"key": "sterling", "name": "Silicon bronze", "composition_pct": {"Cu": 100}})]
    page = day_plan_html(job_of(stored(day, teacher, plan, day_file)))
    assert "Quench silver" not in page and "saw off the sprue" in page


def test_only_the_schools_metal_is_fetched_and_a_students_own_is_named_apart(plan_own):
    text = words_of(render(day_plan_html(job_of(plan_own))))
    # Bags of 119.5 g: A and C of the school's, B of the student's.
    assert "Sterling silver 239.0 g Sterling silver, students' own: B 119.5 g" in text


def test_the_kiln_is_named_at_the_pour_where_two_are_fired(day, teacher):
    text = words_of(render(day_plan_html(job_of(stored(day, teacher, *two_kilns())))))
    assert "Sun 10:16 C Sterling silver kiln k2" in text
    assert "Sterling silver kiln" not in words_of(render(day_plan_html(job_of(stored(day, teacher, *plan_of_24(), 2)))))


def test_the_parts_of_the_day_begin_at_their_times_and_the_kiln_says_when_it_is_loaded(day, teacher):
    plan, day_file = plan_of_24()
    step = {"until": at(-900), "flasks": ["A"], "kiln": None, "say": ""}
    more = [("hand_in_closes", -1500, None), ("mount", -1200, None), ("load", -880, "k1"), ("melt", -8, None)]
    plan["steps"] += [step | {"do": do, "at": at(minutes), "kiln": kiln} for do, minutes, kiln in more]
    text = words_of(render(day_plan_html(job_of(stored(day, teacher, plan, day_file)))))
    # Minutes before 10:00 on the day that the clocks go on at 02:00: 1500 are 25 h, or 09:00 less the hour lost.
    assert "hand-in closes Sat 08:00 mount from Sat 16:05" in text and "load Sat 18:20" in text
    assert "09:52 Sun 10:00 A Sterling silver" in text


def test_nothing_on_the_paper_promises_safety(plan_24):
    page = day_plan_html(job_of(plan_24)).lower()
    assert not re.search(r"\b(safe|safely|approved|complies|guarantee)", page.replace("safety data sheets", ""))


def test_the_fullest_flasks_are_mounted_first_three_to_a_row():
    flasks = read_plan(*as_text(*plan_of_24())).flasks
    scarce = replace(flasks[0], waxes=flasks[0].waxes[:1])
    rows = mounts_of([scarce, *flasks[1:4]])
    assert [[flask.label for flask, _beside in row] for row in rows] == [["B", "C", "D"], ["A"]]
    many = [scarce, *(replace(flasks[1], label=label) for label in "NMLKJIHGFEDCB")]
    assert "".join(flask.label for row in mounts_of(many) for flask, _beside in row) == "ABCDEFGHIJKLMN"


@pytest.mark.parametrize(
    ("diameter_mm", "beside"), [(63.5, "beside-64"), (76.2, "beside-80"), (101.6, "beside-104"), (127, "")]
)
def test_words_stand_beside_a_picture_that_leaves_room(diameter_mm, beside):
    # A column is 61 mm wide: (127 + 4) / 3 = 44 mm of picture leave too little.
    assert words_beside(diameter_mm, 1) == beside


# As many as stand in the column of a flask of that width, and one more, which would make its row the higher.
@pytest.mark.parametrize(("diameter_mm", "fits"), [(63.5, 6), (76.2, 5), (101.6, 3)])
def test_the_words_of_a_full_flask_take_two_columns(diameter_mm, fits):
    assert "wide" not in words_beside(diameter_mm, fits)
    assert words_beside(diameter_mm, fits + 1).endswith(" wide")


def test_a_wide_flask_shares_its_row_with_one_that_fits():
    flasks = read_plan(*as_text(*plan_of_24())).flasks
    wax = flasks[0].waxes[0]
    # Two that take two columns, two that take one: 7 and 1 of the waxes in a flask of 63.5 mm or less.
    small = replace(flasks[0].size, diameter_mm=63.5)
    of = [
        replace(flasks[0], label=label, waxes=(wax,) * many, size=small)
        for label, many in zip("ABCD", (7, 7, 1, 1), strict=True)
    ]
    assert [[flask.label for flask, _beside in row] for row in mounts_of(of)] == [["A", "C"], ["B", "D"]]


def test_the_fan_is_one_check_with_a_box_for_each_flask_of_a_metal_with_zinc(day, teacher, student):
    keys = ("brass", "gold-14k-grain", "sterling")
    metals = {key: Alloy.objects.get(school=day.course.school, key=key) for key in keys}
    for alloy in metals.values():
        handed_in(day, student, alloy=alloy)
    plan = make_plan(day, teacher)
    flasks = {one["alloy"]: one["label"] for one in plan.file["flasks"]}
    page = day_plan_html(job_of(plan))
    (gate,) = re.findall(r"<li[^>]*>(?:(?!</li>).)*?Fume fan running\..*?</li>", page, re.DOTALL)
    boxes = re.findall(r'class="tick"></span>(\w+)</span>', gate)
    assert len(flasks) == 3 and sorted(boxes) == sorted([flasks["brass"], flasks["gold-14k-grain"]])
    assert all(metals[key].name.split()[-1] in gate for key in ("brass", "gold-14k-grain")) and "Sterling" not in gate
    # Once one of the two is poured, its box has gone.
    for state in ("invested", "poured"):
        Flask.objects.update_or_create(day=day, label=flasks["brass"], defaults={"state": state})
    (gate,) = re.findall(r"<li[^>]*>(?:(?!</li>).)*?Fume fan running\..*?</li>", day_plan_html(job_of(plan)), re.DOTALL)
    assert re.findall(r'class="tick"></span>(\w+)</span>', gate) == [flasks["gold-14k-grain"]]


def test_no_fan_is_checked_without_a_metal_that_wants_it(day, teacher, student):
    handed_in(day, student)
    assert "Fume fan" not in day_plan_html(job_of(make_plan(day, teacher)))


def test_a_day_without_a_wax_is_a_sheet_without_a_flask(plan_0):
    text = words_of(render(day_plan_html(job_of(plan_0))))
    assert "0 waxes in 0 flasks." in text and "drawn at 1:3" not in text


def test_flasks_to_fetch_are_counted_by_size():
    flasks = read_plan(*as_text(*plan_of_24())).flasks
    assert [(first.size.key, *many) for first, *many in sizes_to_fetch(flasks)] == [("64x64", 8, 0)]


def test_a_tree_is_mounted_tier_by_tier_in_a_row_of_its_own(day, teacher):
    rings = [wax_row(f"W{n:02}", wax_g=2.5, depth_mm=6.0, height_mm=22.0) for n in range(12)]
    tall = {"key": "102x152", "diameter_mm": 101.6, "height_mm": 152.4, "count": 1, "mount": "tree"}
    day_file = a_day_file(rings, rules={"crucible_ml": 150, "melt_max_g": 1400}, flask_sizes=[tall])
    pdf = render(day_plan_html(job_of(stored(day, teacher, planned(day_file), day_file))))
    text = words_of(pdf)
    assert "W00 tier 1, Imre" in text and "tier 2," in text
    # A circle for each of two tiers: 101.6 / 3 = 33.87 mm.
    assert sum(curve == pytest.approx((33.87, 33.87), abs=0.05) for curve in curves_of(pdf)) == 2


def test_a_wax_whose_thickest_part_was_measured_is_mounted_with_its_sprue(day, teacher):
    handed_in(day)
    assert "sprue 3" not in (before := day_plan_html(job_of(make_plan(day, teacher)))) and "plain band" in before
    Wax.objects.update(thickest_mm=3)
    assert "plain band, sprue 3\u202fmm" in day_plan_html(job_of(make_plan(day, teacher)))


def test_where_every_flask_is_invested_there_is_nothing_to_mix(day, teacher):
    plan, day_file = plan_of_one()
    assert "Nothing to mix" not in day_plan_html(job_of(stored(day, teacher, plan, day_file)))
    page = day_plan_html(job_of(stored(day, teacher, plan | {"bowls": []}, day_file, revision=2)))
    assert "Nothing to mix: every flask of this plan is invested." in page and "Each bowl has" not in page


def test_a_kiln_that_goes_on_holding_is_not_told_to_rise(day, teacher):
    stones = stones_day()
    page = day_plan_html(job_of(stored(day, teacher, planned(stones, effort=1), stones)))
    # The firing for stones ends at the flask's own temperature, and holds it until the pour.
    assert page.count("stay at <b>") == 1 and "fall to" not in page and page.count("rise to <b>") == 3


@pytest.mark.parametrize(("paper", "unit"), [("A4", "g"), ("Letter", "dwt")])
def test_no_quench_stands_clear_of_the_box_beside_it(day, teacher, paper, unit):
    stones = stones_day()
    row = stored(day, teacher, planned(stones, effort=1), stones)
    row.day.course.school.paper, row.day.course.school.weight_unit = paper, unit
    page = typeset_words(render(day_plan_html(job_of(row))))[-1]
    (head,) = [word for word in page if word.text == "done"]
    (words,) = [word for word in page if word.text == "quench,"]
    times = [word for word in page if -0.5 <= word.bottom - words.bottom < 16 and ":" in word.text]
    assert words.x1 < head.x0 and max(word.x1 for word in times) < head.x0


def test_what_is_poured_is_struck_in_the_schools_own_unit(plan_24):
    Flask.objects.create(day=plan_24.day, label="A", state="poured")
    plan_24.day.course.school.weight_unit = "dwt"
    page = day_plan_html(job_of(plan_24))
    # 119.5 g / 1.55517384 = 76.8403 dwt, up to 76.85.
    assert "<s><b>76.85\u202fdwt</b> <small>119.5 g</small></s>" in page and "76.85\u202fdwt already poured: A" in page


def test_a_day_that_is_invested_whole_has_nothing_to_mount(plan_24):
    for label in "ABCDEFGH":
        Flask.objects.create(day=plan_24.day, label=label, state="invested")
    page = day_plan_html(job_of(plan_24))
    assert "Invested, nothing to mount: A, B, C, D, E, F, G, H." in " ".join(pages_of(render(page)))
    assert '<article class="mount' not in page and "Weigh wax and sprue together" not in page
