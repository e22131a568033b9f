"""The mix sheet: read back from the PDF and compared with the plan."""

import re

import pytest

from casting.papers.pdf.render import render
from casting.papers.sheets.mix import mix_html
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.sheets.test_day_plan import words_of
from tests.casting.papers.sheets.two_owners import plan_of_two_owners
from tests.days.class_day import INVESTMENT
from tests.days.written_plans import at, plan_of_one


def test_every_bowl_stands_on_the_mix_sheet(plan_24):
    text = words_of(render(mix_html(job_of(plan_24))))
    # Two flasks of 283 g and 113.2 g each; powder meets water 955 min before the pour, a bowl each 13 min.
    assert "A, B 566 g 226.4 g Sat 17:05 17:13" in text
    assert "G, H 566 g 226.4 g Sat 17:44 17:52" in text
    assert len(re.findall(r"gloss gone at", text)) == 4


def test_a_perforated_flask_has_its_sleeve_and_fill_height_on_the_mix_sheet(day, teacher, plan_24):
    plan, day_file = plan_of_one()
    (size,) = day_file["flask_sizes"]
    holed = size | {"wall": "perforated", "sleeve_mm": 70, "sleeve_height_mm": 90, "fill_mm": 60}
    text = words_of(render(mix_html(job_of(stored(day, teacher, plan, day_file | {"flask_sizes": [holed]}, 2)))))
    assert "Sleeve or tape round it, 70 mm across and 90 mm high: fill to 60 mm. Off before the kiln." in text
    # pi/4 x 7.0^2 x 6.0 = 230.9 ml
    assert "holds 230.9 ml" in text
    # One fill height a flask: no rim, no "to the top" beside it.
    assert "Fill it to the height that stands with it above. Take" in text and "rim" not in text
    assert "Sleeve" not in words_of(render(mix_html(job_of(plan_24))))


def test_solid_and_perforated_flasks_each_have_their_own_fill_height(day, teacher):
    plan, day_file = plan_of_two_owners()
    size = day_file["flask_sizes"][0]
    holed = size | {"key": "holed", "wall": "perforated", "sleeve_mm": 70, "sleeve_height_mm": 90, "fill_mm": 60}
    plan["flasks"][1]["size"] = "holed"
    page = mix_html(job_of(stored(day, teacher, plan, day_file | {"flask_sizes": [size, holed]})))
    page = page.replace("\u202f", " ")
    assert "Fill it to 3 mm under its rim; one with holes in its wall to the height that stands with it above." in page


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


def sheet_of(day, teacher, **changes):
    plan, day_file = plan_of_one()
    return words_of(render(mix_html(job_of(stored(day, teacher, plan, day_file | changes)))))


def test_the_water_s_temperature_stands_on_the_mix_sheet(day, teacher):
    assert "Water at 22 °C to 23 °C: warmer sets sooner." in sheet_of(day, teacher)


def test_water_that_nobody_recorded_is_asked_for(day, teacher):
    text = sheet_of(day, teacher, investment=INVESTMENT)
    assert "Water's temperature: not recorded, see the powder's sheet." in text and "Measured today" not in text


@pytest.mark.parametrize(
    ("gloss_off_min", "counts"), [(8, "This plan counts on that."), (12, "This plan keeps the powder's 9.5 min.")]
)
def test_what_was_measured_today_stands_on_the_mix_sheet(day, teacher, gloss_off_min, counts):
    text = sheet_of(day, teacher, gloss_off_min=gloss_off_min)
    assert f"Measured today: gloss gone after {gloss_off_min} min. {counts}" in text


def test_the_investing_bench_is_told_of_letter_rim_and_base(day, teacher):
    text = sheet_of(day, teacher)
    assert "Write its letter on each flask before it is filled. Fill it to 3 mm under its rim. Take" in text
    assert "Take its rubber base off after 1 h, not before." in text
    plan, day_file = plan_of_one()
    day_file["flask_sizes"] = [day_file["flask_sizes"][0] | {"rim_mm": 5}]
    assert "Fill it to 5 mm under its rim" in words_of(
        render(mix_html(job_of(stored(day, teacher, plan, day_file, revision=2))))
    )
    day.course.school.length_unit = "in"
    day.course.school.save()
    # 5 / 25.4 = 0.197
    assert "Fill it to 0.2 in (5 mm) under its rim" in words_of(
        render(mix_html(job_of(stored(day, teacher, plan, day_file, revision=3))))
    )
