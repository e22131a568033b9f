"""What to cross out by hand on papers printed from an earlier plan, and that those papers do print it."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from casting.models import BenchChange, PaperPrinted, Plan
from casting.papers.crossing_out import crossed_out
from casting.papers.printing import papers_of
from casting.papers.registry import PAPERS
from casting.presenters.formats import degrees_number, to_weigh
from casting.presenters.opened_plan import OpenedPlan
from casting.services.board import take_step
from casting.services.board_moves import Move
from casting.services.flasks import fix_flask
from casting.services.prints import mark_printed
from casting.services.running.mishaps import Met, note_mishap, take_back_mishap
from casting.services.running.ticks import Press, press
from tests.casting.conftest import STILL
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

BY_KEY = {paper.key: paper for paper in PAPERS}


@pytest.fixture
def planned(day, student, teacher):
    tags = [handed_in(day, student).tag for _nth in range(3)]
    make_plan(day, teacher)
    return day, tags


def print_them(day, teacher, *keys):
    papers = papers_of(day, Plan.objects.latest_of(day), now=timezone.now())
    mark_printed(day, [papers.page(BY_KEY[key]) for key in keys], teacher)


def told(day):
    papers = papers_of(day, Plan.objects.latest_of(day))
    return crossed_out(papers, papers.statuses())


def test_nothing_printed_or_nothing_changed_is_nothing_to_cross_out(planned, teacher):
    day, tags = planned
    assert told(day) == []
    print_them(day, teacher, "mix", "weigh-out")
    assert told(day) == []
    take_step(day, Move("keep", label="A"), revision=1, by=teacher)
    assert Plan.objects.latest_of(day).revision == 2 and told(day) == []
    take_step(day, Move("out", tag=tags[0]), revision=2, by=teacher)
    assert told(day)


def test_each_figure_is_told_as_printed_and_as_it_is_with_the_papers_that_have_it(planned, teacher):
    day, tags = planned
    print_them(day, teacher, "mix", "weigh-out", "flask-cards")
    take_step(day, Move("out", tag=tags[0]), revision=1, by=teacher)
    before, after = (Plan.objects.get(day=day, revision=nth).file["flasks"][0] for nth in (1, 2))
    lines = {(line.was, line.now): [str(title) for title in line.papers] for line in told(day)}
    charge = f"{to_weigh(before['charge_g'])} g metal", f"{to_weigh(after['charge_g'])} g metal"
    assert lines[charge] == ["Flask cards", "Weigh-out list"]
    assert lines[", ".join(tags), ", ".join(tags[1:])] == ["Flask cards", "Weigh-out list"]
    # The flask's size is the same, so its powder and water are, and the mix sheet has nothing to cross out.
    assert not any("Mix sheet" in titles for titles in lines.values())


def test_a_flask_that_came_or_went_is_told_on_every_paper_of_flasks(planned, teacher):
    day, tags = planned
    print_them(day, teacher, "mix")
    used = [flask["size"] for flask in Plan.objects.latest_of(day).file["flasks"]]
    sizes = Plan.objects.latest_of(day).day_values["flask_sizes"]
    size = next(row["key"] for row in sizes if row["count"] > used.count(row["key"]))
    step, _said = take_step(day, Move("carry", tag=tags[0], size=size), revision=1, by=teacher)
    new = step.figures["to"]
    assert [(line.label, line.was) for line in told(day)] == [(new, "not there")]
    print_them(day, teacher, "mix")
    take_step(day, Move("out", tag=tags[0]), revision=2, by=teacher)
    assert [(line.label, line.was, line.now) for line in told(day)] == [(new, "the whole flask", "no more")]


@pytest.mark.parametrize("key", [paper.key for paper in PAPERS if paper.figures])
def test_a_paper_prints_the_figures_that_are_said_to_stand_on_it(key, planned):
    papers = papers_of(planned[0], Plan.objects.latest_of(planned[0]), now=timezone.now())
    text = re.sub(r"<[^>]*>", " ", papers.page(BY_KEY[key]).html)
    units = papers.opened.units
    for flask in papers.opened.sheet.flasks:
        printed = {
            "size": f"{flask.size.diameter_mm:g}",
            "charge_g": to_weigh(flask.charge_g),
            "powder_g": str(flask.powder_g),
            "water_g": to_weigh(flask.water_g),
            "flask_c": degrees_number(flask.flask_c, units),
            "out_at": f"{flask.out_at:%H:%M}",
        }
        for name in BY_KEY[key].figures:
            words = [one.wax.key for one in flask.waxes] if name == "waxes" else [printed[name]]
            assert all(re.search(rf"(?<![\d.]){re.escape(word)}(?![\d])", text) for word in words), name


def test_a_base_that_was_weighed_since_crosses_its_charge_out_until_that_is_taken_back(planned, teacher):
    day, _tags = planned
    print_them(day, teacher, "mix", "weigh-out")
    PaperPrinted.objects.update(at=STILL - timedelta(minutes=1))
    flask = OpenedPlan(Plan.objects.latest_of(day)).sheet.flasks[0]
    slips_g = sum(one.wax.wax_g for one in flask.waxes)
    press(day, Press("weighed", flask.label, reads=f"{20 + 1.04 * slips_g:.3f}", base_reads="20"), by=teacher)
    now = OpenedPlan(Plan.objects.latest_of(day)).sheet.flask(flask.label)
    (line,) = told(day)
    assert (line.label, line.papers) == (flask.label, (BY_KEY["weigh-out"].title,))
    assert line.was == f"{to_weigh(flask.charge_g)} g metal" and line.now == f"{to_weigh(now.charge_g)} g metal"
    assert line.was != line.now
    print_them(day, teacher, "weigh-out")
    assert told(day) == []
    press(day, Press("weighed", flask.label, undo=True), by=teacher)
    BenchChange.objects.filter(pk=BenchChange.objects.latest("pk").pk).update(at=STILL + timedelta(minutes=1))
    assert [(one.was, one.now) for one in told(day)] == [(line.now, line.was)]


def test_what_went_wrong_since_is_told_where_its_flask_stands_until_it_is_printed_again_or_taken_back(planned, teacher):
    day, _tags = planned
    fix_flask(day, "A", "invested", by=teacher)
    print_them(day, teacher, "mix", "weigh-out")
    PaperPrinted.objects.update(at=STILL - timedelta(minutes=1))
    assert told(day) == []
    note_mishap(day, Met("cracked", ("A",), "unpoured"), by=teacher)
    (line,) = told(day)
    assert (line.label, line.was) == ("A", "its pour and its charge") and "cracked; not poured" in line.now
    assert line.papers == (BY_KEY["weigh-out"].title,)
    print_them(day, teacher, "weigh-out")
    assert told(day) == []
    take_back_mishap(day, "cracked", "A", by=teacher)
    BenchChange.objects.filter(pk=BenchChange.objects.latest("pk").pk).update(at=STILL + timedelta(minutes=1))
    assert [one.now for one in told(day)] == ["taken back: look at the page Pours"]
