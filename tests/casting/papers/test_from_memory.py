"""A figure from memory has its mark on every paper and page that prints it; a published one has none."""

import html
import re

import pytest
from django.urls import reverse

from casting.calc.values.marked_text import FROM_MEMORY
from casting.models import Alloy, Firing, HouseRules, Investment, Kiln, PatternMaterial
from casting.papers.registry import PAPERS
from casting.presenters import from_memory
from casting.presenters.formats import clock_time, day_clock, decimals, degrees, plain
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

SHELF = (Alloy, Firing, HouseRules, Investment, Kiln, PatternMaterial)
HEATS = {"supplement", "supplement-es", "day-plan", "flask-cards", "kiln-room"}
"""The papers that print a flask's temperature."""
PAGES = ("flasks", "day_plan")
NOTES = ("* from memory: check the supplier's sheet.", "* de memoria: compruébalo en la ficha del proveedor.")


def words_of(page):
    """What is read of a page, whatever element it stands in; spaces as they are."""
    return html.unescape(re.sub(r"<[^>]*>", "", page.partition("<body")[2]))


def papers_of(plan):
    """The words of each paper; the mark's sign without width stays out of print, so a star alone is left."""
    return {paper.key: words_of(page) for paper in PAPERS if (page := paper.html(job_of(plan)))}


def unmarked(words, figure):
    """Whether a figure stands somewhere without a star after it."""
    return bool(re.search(rf"(?<![\d.]){re.escape(figure)}(?!\*|[\d.])", words))


@pytest.fixture
def bronze(day, student, teacher):
    """A day of one silicon bronze: temperatures and minutes to quench are from memory on the shelf."""
    handed_in(day, student, alloy=Alloy.objects.get(school=day.course.school, key="si-bronze"))
    return make_plan(day, teacher)


@pytest.fixture
def published(day, student, teacher):
    """A day of sterling on a shelf whose figures are all published."""
    for model in SHELF:
        for row in model.objects.filter(school=day.course.school):
            row.sources = {figure: {"source": "a sheet", "status": "published"} for figure in row.sources}
            row.save()
    handed_in(day, student)
    return make_plan(day, teacher)


def test_every_paper_marks_a_flask_temperature_from_memory(bronze):
    job = job_of(bronze)
    flask, units = job.opened.sheet.flasks[0], job.opened.units
    heat, papers = degrees(flask.flask_c, units), papers_of(bronze)
    printed = {key for key, words in papers.items() if heat in words or f"{flask.flask_c}°C" in words}
    assert printed == HEATS
    assert not {key for key, words in papers.items() if unmarked(words, heat)}
    assert not unmarked(papers["kiln-room"], f"{flask.flask_c}°C")
    assert {key for key in printed if any(note in papers[key] for note in NOTES)} == HEATS
    assert NOTES[1] in papers["supplement-es"]


def test_every_paper_marks_the_time_of_a_quench_that_follows_from_memory(bronze):
    flask, papers = job_of(bronze).opened.sheet.flasks[0], papers_of(bronze)
    assert f"{day_clock(flask.quench_at)}*" in papers["day-plan"]
    assert f"{day_clock(flask.quench_at)}*" in papers["flask-cards"]
    assert f"quench from {clock_time(flask.quench_at)}*" in papers["kiln-room"]
    for key in ("supplement", "supplement-es"):
        assert f"{clock_time(flask.quench_at)}*" in papers[key]
    # The stop at the quench tells the minutes: the shelf has 20 for silicon bronze at 64 mm.
    assert re.search(r"\d+\* minutes", papers["teacher-safety"])


def test_papers_mark_the_cooling_of_a_kiln_and_the_button_of_a_flask(bronze):
    job, papers = job_of(bronze), papers_of(bronze)
    flask = job.opened.sheet.flasks[0]
    cools = f"{decimals(job.opened.sheet.kilns[0].kiln.cool_c_per_h, 0)}\u202f°C/h*"
    assert cools in papers["day-plan"] and cools in papers["kiln-room"]
    least = f"{decimals(flask.button.by_width_g, 2)}\u202fg*"
    assert least in papers["weigh-out"]
    # Published figures of the same metal stay plain.
    assert f"× {plain(flask.alloy.specific_gravity)} =" in papers["weigh-out"]
    assert not from_memory.pour_c_mark(flask)
    assert f"{degrees(flask.pour_c, job.opened.units)}*" not in papers["day-plan"]


@pytest.mark.parametrize("name", PAGES)
def test_a_page_marks_it_too_and_says_what_the_star_means(day, bronze, teacher_client, name):
    flask = job_of(bronze).opened.sheet.flasks[0]
    words = words_of(teacher_client.get(reverse(name, args=[day.pk])).content.decode()).replace("\u2060", "")
    assert f"{flask.flask_c}°C*" in words or f"{degrees(flask.flask_c, job_of(bronze).opened.units)}*" in words
    assert not unmarked(words, degrees(flask.flask_c, job_of(bronze).opened.units))
    assert words.count(NOTES[0]) == 1


def test_no_paper_of_published_figures_has_a_mark_or_a_note(published):
    papers = papers_of(published)
    assert set(papers) > HEATS
    assert not {key for key, words in papers.items() if "*" in words}


@pytest.mark.parametrize("name", PAGES)
def test_no_page_of_published_figures_has_a_mark_or_a_note(day, published, teacher_client, name):
    page = teacher_client.get(reverse(name, args=[day.pk])).content.decode()
    assert FROM_MEMORY not in page and NOTES[0] not in html.unescape(page)
