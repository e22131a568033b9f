"""Weigh-out list, mix sheet, student slips and poster: read back from the PDF and compared with the plan."""

import io
import json
import re
from datetime import timedelta

import pdfplumber
import pypdfium2
import pytest
from django.urls import reverse

from casting.models import Wax
from casting.papers.pdf.render import render
from casting.papers.sheets.mix import mix_html
from casting.papers.sheets.poster import poster_html
from casting.papers.sheets.slips import slips_html, slips_of
from casting.papers.sheets.weigh_out import fresh_at_least, metals_of, weigh_out_html
from casting.presenters.formats import stamp
from casting.presenters.plan_reader import read_plan
from casting.presenters.plan_sheet import Named
from school.join import show_code
from school.models import Student
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.sheets.test_day_plan import MM_PER_POINT, words_of
from tests.casting_factories import handed_in
from tests.days.written_plans import THREE, as_text, at, band_row, day_with, flask, plan_of_24, plan_of_one, plan_with

HOSTILE = ["<script>alert(1)</script>", "{{ settings.SECRET_KEY }}", "{% include 'x' %}", "file:///etc/hostname"]


ALL = [weigh_out_html, mix_html, slips_html, poster_html]


def plan_of_two_owners():
    """Flasks A and C are the school's sterling, B the sterling that student-B1 brought; C and B pour after A."""
    flasks, waxes = [], []
    for nth, label in enumerate("ABC"):
        owner = "student-B1" if label == "B" else "school"
        keys = [f"{label}{i}" for i in (1, 2, 3)]
        waxes += [
            band_row(key, student="student-B1" if label == "B" else f"student-{key}", owner=owner) for key in keys
        ]
        placed = [(key, *place) for key, place in zip(keys, THREE, strict=True)]
        flasks.append(flask(label, placed, nth) | {"owner": owner})
    return plan_with(flasks), day_with(waxes)


@pytest.fixture
def plan_own(day, teacher):
    return stored(day, teacher, *plan_of_two_owners())


def called(plan, tag, name, what="plain band"):
    """A wax of the plan gets a student of that name."""
    row = handed_in(plan.day, what=what)
    Student.objects.filter(pk=row.student_id).update(called=name)
    Wax.objects.filter(pk=row.pk).update(tag=tag)


def test_every_bag_stands_on_the_weigh_out_list_with_its_charge(plan_24):
    text = words_of(render(weigh_out_html(job_of(plan_24))))
    for one in json.loads(plan_24.plan_file)["flasks"]:
        # 119.5 g: half is 59.75, up to the next tenth 59.8.
        assert f"{one['label']} {one['charge_g']:.1f} g 59.8 g" in text
    # 8 bags of 119.5 g.
    assert "Sterling silver: 956.0 g" in text and "8 bags 956.0 g 478.4 g" in text


def test_the_sums_stand_where_the_metal_and_the_powder_are_weighed(plan_1):
    text = words_of(render(weigh_out_html(job_of(plan_1))))
    # 3.20 / 0.96 x 10.36 = 34.53; with 15.00 of button 49.53, up to 50.0.
    assert "A w1: 3.20 g wax / 0.96 × 10.36 = 34.53 g" in text
    assert "34.53 g + button 15.00 g = 49.53 g, up to the next 0.5 g = 50.0 g" in text
    # 63.5 / 2 squared x pi x 63.5 = 201.1 ml.
    assert "the flask holds 201.1 ml" in words_of(render(mix_html(job_of(plan_1))))


def test_half_fresh_stands_with_its_source(plan_24):
    text = words_of(render(weigh_out_html(job_of(plan_24))))
    assert "At least 50 % of every charge is fresh." in text
    assert "More than half scrap is not advised (published by a metal supplier" in text


@pytest.mark.parametrize(("charge_g", "fresh_g"), [(50.0, 25.0), (49.5, 24.8), (0.1, 0.1), (119.5, 59.8)])
def test_half_is_never_rounded_down(charge_g, fresh_g):
    # Worked by hand: half of 49.5 is 24.75, of 0.1 is 0.05, of 119.5 is 59.75; each up to the next 0.1 g.
    assert fresh_at_least(charge_g) == pytest.approx(fresh_g)


def test_what_is_published_for_silver_is_not_said_of_bronze(plan_24):
    plan, day_file = plan_of_24()
    bronze = {"key": "si-bronze", "name": "Silicon bronze", "composition_pct": {"Cu": 95, "Si": 4, "Mn": 1}}
    sheet = read_plan(*as_text(plan, day_file))
    assert metals_of(sheet)[0].published
    alloys = {"alloys": [one_alloy(bronze)], "waxes": [one | {"alloy": "si-bronze"} for one in day_file["waxes"]]}
    for one in plan["flasks"]:
        one["alloy"] = "si-bronze"
    plan["totals"]["charge_g"] = {"si-bronze": 956.0}
    assert not metals_of(read_plan(*as_text(plan, day_file | alloys)))[0].published


def one_alloy(changes):
    """An alloy as a day file has it."""
    bands = {section: [500, 540] for section in ("very_thin", "thin", "medium", "heavy")}
    return {
        "specific_gravity": 8.5,
        "solidus_c": 920,
        "liquidus_c": 990,
        "pour_c": 1080,
        "flask_c": bands,
        "quench_min_by_diameter": [[64, 10]],
    } | changes


def test_a_students_own_metal_is_weighed_apart(plan_own):
    (metal,) = metals_of(read_plan(plan_own.plan_file, plan_own.day_file))
    assert [[one.label for one in bags.flasks] for bags in metal.bags] == [["A", "C"], ["B"]]
    # Bags of 119.5 g: two of the school's, one of the student's, three in all.
    assert [bags.charge_g for bags in metal.bags] == [239.0, 119.5]
    text = words_of(render(weigh_out_html(job_of(plan_own))))
    assert "The school's metal" in text and "2 bags 239.0 g 119.6 g" in text
    assert "Own metal of student-B1: not from the safe" in text and "1 bag 119.5 g 59.8 g" in text
    assert "Sterling silver: 358.5 g" in text


@pytest.mark.parametrize("words", ["fresh", "re-used", "spare", "stock before", "stock after", "weighed by"])
def test_the_weigh_out_list_has_room_to_write(plan_1, words):
    assert words in words_of(render(weigh_out_html(job_of(plan_1))))


def test_every_bowl_stands_on_the_mix_sheet(plan_24):
    text = words_of(render(mix_html(job_of(plan_24))))
    # Two flasks of 283 g and 113.2 g each; powder meets water 955 min before the pour, a bowl each 13 min.
    assert "A, B 566 g 226.4 g Sat 17:05 17:13" in text
    assert "G, H 566 g 226.4 g Sat 17:44 17:52" in text
    assert len(re.findall(r"gloss gone at", text)) == 4


def test_a_bowl_says_what_sticks_to_it(day, teacher, plan_24):
    # 63.5 x 63.5 mm hold 201.1 ml; 1/2.53 + 0.4/0.998 = 0.7961 ml of slurry a gram: 252.6 g, or 283 g with 12 % more.
    # Two flasks: 2 x 252.6 + 30 = 535.2, less than 566.
    covered = "Bowl: its flasks together = 566 g. Their allowances cover the 30 g that stick to the bowl."
    assert words_of(render(mix_html(job_of(plan_24)))).count(covered) == 4
    plan, day_file = plan_of_one()
    plan["bowls"][0]["powder_g"] = 293  # 252.6 + 40 = 292.6, up; more than 283.
    text = words_of(
        render(mix_html(job_of(stored(day, teacher, plan, day_file | {"rules": {"bowl_extra_g": 40}}, revision=2))))
    )
    assert "Bowl: 252.6 g without allowance + 40 g that stick to the bowl, up to a whole gram = 293 g." in text


def test_a_bowl_is_left_until_its_last_flask_is_set(day, teacher):
    plan, day_file = plan_of_two_owners()
    for label, minutes in (("A", 120), ("B", 135)):
        step = {"at": at(-947), "until": at(-947 + minutes), "do": "set", "flasks": [label], "kiln": None, "say": ""}
        plan["steps"].append(step)
    text = words_of(render(mix_html(job_of(stored(day, teacher, plan, day_file)))))
    # All poured at 17:13; 135 min later it is 19:28.
    assert "17:13 Sat 19:28" in text


def test_a_bowl_that_was_mixed_before_says_so(day, teacher):
    plan, day_file = plan_of_two_owners()
    plan["steps"] = [one for one in plan["steps"] if one["do"] != "mix" or one["flasks"] != ["A", "B"]]
    text = words_of(render(mix_html(job_of(stored(day, teacher, plan, day_file)))))
    assert "A, B 566 g 226.4 g mixed before" in text


def slips_in(page):
    """The words of each slip of a page."""
    found = re.findall(r'<section class="slip">.*?</section>', page, re.DOTALL)
    return [re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", one)) for one in found]


def test_a_slip_says_where_a_students_waxes_are(plan_24):
    called(plan_24, "B2", "Sunniva Okoro", what="signet ring")
    text = words_of(render(slips_html(job_of(plan_24))))
    # The second of three stands at (-12.124, -7): 240 degrees clockwise from the notch, 8 o'clock.
    assert "B2 signet ring Sterling silver 34.53 g no price recorded B 8 o'clock Sun 10:08" in text


def test_nobody_elses_name_or_figure_is_on_a_slip(day, teacher):
    plan, day_file = plan_of_24()
    for nth, one in enumerate(one for each in plan["flasks"] for one in each["waxes"]):
        one["metal_g"] = 20.01 + nth
    row = stored(day, teacher, plan, day_file)
    slips = slips_in(slips_html(job_of(row)))
    assert len(slips) == 24
    tags = [one["key"] for one in day_file["waxes"]]
    for nth, tag in enumerate(tags):
        (own,) = [slip for slip in slips if f"student-{tag} " in slip]
        assert f"{20.01 + nth:.2f}" in own
        for other, other_tag in enumerate(tags):
            if other != nth:
                assert other_tag not in own and f"{20.01 + other:.2f}" not in own


def test_slips_go_by_name_and_two_of_one_name_stay_two(day, teacher):
    plan, day_file = plan_of_24()
    names = {one["key"]: Named(one["key"], f"Z {one['key']}", "") for one in day_file["waxes"]}
    names |= {"H3": Named("H3", "anna", ""), "C1": Named("C1", "Anna", "")}
    slips = slips_of(read_plan(*as_text(plan, day_file), names), {})
    assert [slip.called for slip in slips[:3]] == ["Anna", "anna", "Z A1"]


def test_a_student_with_three_waxes_has_one_slip_and_own_metal_costs_nothing(plan_own):
    page = slips_html(job_of(plan_own))
    (own,) = [slip for slip in slips_in(page) if "student-B1 " in slip]
    assert own.count("own metal") == 3 and "B1" in own and "B3" in own
    # 3 x 34.53.
    assert "together 103.59" in own


@pytest.mark.parametrize(("price", "said"), [({"price_per_g": 1.25}, "43.16"), ({}, "no price recorded")])
def test_the_cost_is_by_the_price_of_the_day_file_alone(day, teacher, price, said):
    plan, day_file = plan_of_two_owners()
    # 34.53 x 1.25 = 43.1625. The shelf has a price for sterling, but this school noted none.
    day_file["alloys"] = [one_alloy({"key": "sterling", "name": "Sterling silver", "specific_gravity": 10.36} | price)]
    page = slips_html(job_of(stored(day, teacher, plan, day_file)))
    (own,) = [slip for slip in slips_in(page) if "student-A1 " in slip]
    assert said in own


def test_the_lines_of_a_slip_add_up_to_what_they_cost_together(day, teacher):
    plan, day_file = plan_of_two_owners()
    for one, metal_g in zip(plan["flasks"][1]["waxes"], (23.95, 11.45, 11.45), strict=True):
        one["metal_g"] = metal_g
    plan["flasks"][1]["owner"] = "school"
    day_file["alloys"] = [
        one_alloy({"key": "sterling", "name": "Sterling silver", "specific_gravity": 10.36, "price_per_g": 1.1})
    ]
    (own,) = [one for one in slips_in(slips_html(job_of(stored(day, teacher, plan, day_file)))) if "student-B1 " in one]
    # 26.345 and twice 12.595, each up: 26.35 + 12.60 + 12.60 = 51.55; together and then rounded they were 51.54.
    assert [own.count(cost) for cost in (" 26.35 USD ", " 12.60 USD ", " 51.55 USD ")] == [1, 2, 1]


def test_a_cost_has_the_currency_of_the_schools_prices(day, teacher):
    plan, day_file = plan_of_two_owners()
    day_file["alloys"] = [
        one_alloy({"key": "sterling", "name": "Sterling silver", "specific_gravity": 10.36, "price_per_g": 1.25})
    ]
    planned = stored(day, teacher, plan, day_file)
    page = slips_html(job_of(planned))
    (own,) = [slip for slip in slips_in(page) if "student-A1 " in slip]
    # 34.53 x 1.25 = 43.1625.
    assert "43.16 USD" in own and "currency is not recorded" not in page
    planned.day.course.school.currency = ""
    bare = slips_html(job_of(planned))
    assert "43.16" in bare and "USD" not in bare and "Its currency is not recorded." in bare


def test_a_wax_left_out_is_on_its_students_slip_with_the_reason(plan_1):
    slips = slips_in(slips_html(job_of(plan_1)))
    (own,) = [slip for slip in slips if "student-w9 " in slip]
    assert "Left out: w9" in own and "58 mm tall; the tallest flask takes 34.6 mm." in own
    assert "34.53" not in own
    assert not [slip for slip in slips if "student-w1 " in slip and "58 mm" in slip]


def test_every_slip_says_which_plan_it_is_of(plan_1):
    for slip in slips_in(slips_html(job_of(plan_1))):
        assert "Plan revision 3." in slip and "Sun 14 Mar 2027" in slip


def test_the_poster_has_class_code_and_address(plan_1):
    course = plan_1.day.course
    page = poster_html(job_of(plan_1.day, origin="https://bench.example.org"))
    assert f"<title>QR code of https://bench.example.org{reverse('join_class', args=[course.code])}</title>" in page
    text = words_of(render(page))
    assert course.name in text and show_code(course.code) in text
    assert f"https://bench.example.org{reverse('join')}" in text
    assert "Hand in your wax by" not in text


def test_the_poster_says_when_hand_in_ends_on_the_schools_clock(plan_1):
    day = plan_1.day
    day.hand_in_closes_at = day.pour_at - timedelta(days=3)
    local = day.hand_in_closes_at.astimezone(day.course.school.tz)
    assert f"Hand in your wax by {stamp(local)}" in words_of(render(poster_html(job_of(plan_1.day))))
    day.closed_at = day.hand_in_closes_at
    text = words_of(render(poster_html(job_of(plan_1.day))))
    assert "Hand-in is closed" in text and "Hand in your wax by" not in text


@pytest.mark.parametrize("what", HOSTILE)
def test_what_people_type_is_printed_as_text(plan_own, what):
    called(plan_own, "A1", what, what=what)
    called(plan_own, "B1", what)
    course = plan_own.day.course
    course.name = what
    assert words_of(render(slips_html(job_of(plan_own)))).count(what) >= 2
    assert f"Own metal of {what}" in words_of(render(weigh_out_html(job_of(plan_own))))
    assert what in words_of(render(poster_html(job_of(plan_own.day))))


@pytest.mark.parametrize("name", ["M" * 10_000, "مريم الحداد", "\U0001f48d ring", "a\u202eb"])
def test_a_name_that_no_slip_was_made_for_breaks_no_sheet(plan_own, name, monkeypatch):
    monkeypatch.setattr("casting.presenters.opened_plan.names_of", lambda day: {"A1": Named("A1", name, name)})
    pages = pypdfium2.PdfDocument(render(slips_html(job_of(plan_own))))
    # Seven students; ten thousand capitals need sheets of their own, twice.
    assert 1 <= len(pages) <= 20
    last = re.sub(r"\s+", " ", " ".join(page.get_textpage().get_text_range() for page in pages))
    assert "student-C3" in last and "119.5" not in last


@pytest.mark.parametrize("html", ALL)
@pytest.mark.parametrize(("paper", "width_mm"), [("A4", 210), ("Letter", 215.9)])
def test_the_sheet_is_the_schools_and_the_same_bytes_twice(plan_own, html, paper, width_mm):
    school = plan_own.day.course.school
    school.paper, school.weight_unit, school.temperature_unit = paper, "dwt", "F"
    pdf = render(html(job_of(plan_own)))
    assert pdf == render(html(job_of(plan_own)))
    assert pypdfium2.PdfDocument(pdf)[0].get_size()[0] * 25.4 / 72 == pytest.approx(width_mm, abs=0.2)
    if html in {weigh_out_html, slips_html}:
        assert "dwt" in words_of(pdf)


@pytest.mark.parametrize("html", ALL)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_no_word_runs_over_the_edge_of_the_sheet(plan_own, html, paper):
    school = plan_own.day.course.school
    school.paper, school.weight_unit = paper, "ozt"
    called(plan_own, "A1", "Wolfeschlegelsteinhausen-Bergerdorff " * 2, what="a very broad signet ring with a crest")
    with pdfplumber.open(io.BytesIO(render(html(job_of(plan_own))))) as pdf:
        for page in pdf.pages:
            for word in page.extract_words():
                # The margin at both sides is 11 mm; a hundredth of it for rounding.
                assert word["x0"] * MM_PER_POINT >= 10.9, word["text"]
                assert (page.width - word["x1"]) * MM_PER_POINT >= 10.9, word["text"]


@pytest.mark.parametrize("html", [weigh_out_html, mix_html, slips_html])
def test_a_day_without_a_wax_needs_no_such_paper(plan_0, html):
    assert html(job_of(plan_0)) is None


@pytest.mark.parametrize("html", ALL)
def test_nothing_on_them_promises_safety(plan_own, html):
    page = html(job_of(plan_own)).lower().replace("safety data sheets", "").replace("not from the safe", "")
    assert not re.search(r"\b(safe|safely|approved|complies|guarantee)", page)
