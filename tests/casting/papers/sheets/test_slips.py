"""The students' slips: read back from the page and compared with the plan."""

import re

import pytest

from casting.papers.pdf.render import render
from casting.papers.sheets.slips import slips_html, slips_of
from casting.presenters.piece_price import PiecePrices
from casting.presenters.plan_reader import read_plan
from casting.presenters.plan_sheet import WaxName
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import typeset_words
from tests.casting.papers.sheets.test_day_plan import words_of
from tests.casting.papers.sheets.two_owners import called, one_alloy, plan_of_two_owners
from tests.days.written_plans import as_text, plan_of_24, plan_of_one


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
    names = {one["key"]: WaxName(one["key"], f"Z {one['key']}", "") for one in day_file["waxes"]}
    names |= {"H3": WaxName("H3", "anna", ""), "C1": WaxName("C1", "Anna", "")}
    slips = slips_of(read_plan(*as_text(plan, day_file), names), PiecePrices(None, {}))
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


def test_a_wax_left_out_goes_to_its_students_slip_whatever_tag_it_is_called_by():
    plan, day_file = plan_of_one()
    names = {one["key"]: WaxName(f"tag-{one['key']}", one["student"], "") for one in day_file["waxes"]}
    slips = slips_of(read_plan(*as_text(plan, day_file), names), PiecePrices(None, {}))
    (own,) = [slip for slip in slips if slip.left_out]
    assert own.called == "student-w9" and [line.name.tag for line in own.left_out] == ["tag-w9"]


def test_every_slip_says_which_plan_it_is_of(plan_1):
    for slip in slips_in(slips_html(job_of(plan_1))):
        assert "Plan revision 3." in slip and "Sun 14 Mar 2027" in slip


def test_a_slip_that_has_a_cost_says_what_a_cost_is_and_one_without_does_not(day, teacher):
    plan, day_file = plan_of_two_owners()
    day_file["alloys"] = [
        one_alloy({"key": "sterling", "name": "Sterling silver", "specific_gravity": 10.36, "price_per_g": 1.25})
    ]
    page = slips_html(job_of(stored(day, teacher, plan, day_file)))
    assert "<h1" in page and "Student slips" in page
    slips = slips_in(page)
    note = "Cost: the metal of the wax at the school's list price, without the button."
    # Students of flasks A and C pay for the school's metal; student-B1 brought it.
    assert [note in re.sub("&#x27;", "'", slip) for slip in slips] == ["student-B1 " not in slip for slip in slips]
    assert page.count("list price") == len(slips) - 1


def test_metal_stands_in_the_schools_own_unit_first_and_its_sum_adds_up_as_printed(day, teacher):
    plan, day_file = plan_of_two_owners()
    for one, metal_g in zip(plan["flasks"][1]["waxes"], (23.95, 11.45, 11.45), strict=True):
        one["metal_g"] = metal_g
    row = stored(day, teacher, plan, day_file)
    assert "<b>46.85\u202fg</b></td>" in slips_html(job_of(row))
    row.day.course.school.weight_unit = "dwt"
    page = slips_html(job_of(row))
    # Divided by 1.55517384: 15.4002, 7.3625 twice. 15.40 + 7.36 + 7.36 = 30.12; 46.85 together would be 30.13.
    assert "<b>15.40\u202fdwt</b><br>23.95\u202fg" in page and "<b>30.12\u202fdwt</b><br>46.85\u202fg" in page


def test_a_cost_of_four_figures_stands_in_one_line(day, teacher):
    plan, day_file = plan_of_24()
    # 34.53 x 62 = 2140.86, as of gold.
    day_file["alloys"] = [
        one_alloy({"key": "sterling", "name": "Sterling silver", "specific_gravity": 10.36, "price_per_g": 62})
    ]
    sheet = typeset_words(render(slips_html(job_of(stored(day, teacher, plan, day_file)))))[0]
    words = " ".join(word.text for word in sheet).replace("\u202f", " ")
    assert "2140.86 USD" in words
