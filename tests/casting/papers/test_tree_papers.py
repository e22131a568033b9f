"""A flask with a tree on the papers: each wax with its tier and hour, the trunk in the sums, tiers drawn."""

from __future__ import annotations

import pytest
from django.urls import reverse

from casting.papers.pdf.render import render
from casting.papers.sheets.day_plan import day_plan_html
from casting.papers.sheets.flask_cards import flask_cards_html
from casting.papers.sheets.weigh_out import weigh_out_html
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of, words_by_type
from tests.days.day_file import a_day_file, planned, wax_row

TREE = {"key": "102x152", "diameter_mm": 101.6, "height_mm": 152.4, "count": 1, "mount": "tree"}


@pytest.fixture(scope="module")
def day_of_a_tree():
    """24 rings in a tree and one in a small flask; 36 g of gold by its owner."""
    rings = [wax_row(f"W{n:02}", wax_g=2.5, depth_mm=6.0, height_mm=22.0) for n in range(24)]
    day = a_day_file([*rings, wax_row("B1", alloy="si-bronze")], rules={"crucible_ml": 150, "melt_max_g": 1400})
    day["flask_sizes"] = [TREE, {"key": "64x64", "diameter_mm": 63.5, "height_mm": 63.5, "count": 1}]
    return day, planned(day)


@pytest.fixture
def plan_tree(day, teacher, day_of_a_tree):
    day_file, plan = day_of_a_tree
    return stored(day, teacher, plan, day_file)


def test_each_wax_of_a_tree_stands_on_its_card_with_tier_and_hour(plan_tree):
    text = " ".join(pages_of(render(flask_cards_html(job_of(plan_tree)))))
    assert "W00 tier 1, 12 o'clock" in text and "W03 tier 1, 6 o'clock" in text
    assert "W06 tier 2, 1 o'clock" in text and "W23 tier 4, 11 o'clock" in text
    assert "drawn at 1:3" in text and "from the side" in text and "tier 4, 100mm up" in text


def test_tiers_are_numbered_in_type_of_7_points_or_more(plan_tree):
    pdf = render(flask_cards_html(job_of(plan_tree)))
    numbers = [size for page in range(len(pages_of(pdf))) for word, size in words_by_type(pdf, page, 0) if word == "4"]
    assert numbers and min(numbers) >= 7


def test_the_day_plan_draws_each_tier_and_names_it_beside_each_wax(plan_tree):
    text = " ".join(pages_of(render(day_plan_html(job_of(plan_tree)))))
    assert "from the side" in text and "tier 4, 100mm up" in text
    assert "W23 tier 4, Imre" in text


def test_the_trunk_is_weighed_out_with_the_rest(plan_tree):
    text = " ".join(pages_of(render(weigh_out_html(job_of(plan_tree))))).replace("\u202f", " ")
    assert "8 mm thick, 90 mm long" in text and "46.87" in text
    # 24 x 26.98 as each wax reads elsewhere; up to 799.0 like 647.50 + 46.87 + 104.16 = 798.53
    assert "647.52 g + trunk 46.87 g + button 104.16 g = 798.55 g" in text


def test_the_flasks_page_draws_each_tier_and_names_it_beside_each_wax(plan_tree, teacher_client):
    page = teacher_client.get(reverse("flasks", args=[plan_tree.day_id])).content.decode()
    assert page.count("<svg") >= 1 + 4 + 1 and "tier 4, 100\u202fmm up" in page
    assert page.count('<span class="muted">tier 4</span>') == 6
    assert "8\u202fmm thick, 90\u202fmm long" in page
