"""How far flasks have come, and which waxes are in them."""

import datetime as dt

from casting.models import Flask, StepRecord
from casting.selectors.flasks import BenchState, flask_contents, on_bench
from casting.services.flasks import fix_flask
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def test_a_planned_flask_is_not_on_the_bench(day, student, teacher):
    handed_in(day, student)
    make_plan(day, by=teacher)
    assert on_bench(day) == {} and BenchState().state == Flask.State.PLANNED


def test_who_invested_a_flask_and_when_in_the_school_s_time(day, student, teacher):
    handed_in(day, student)
    make_plan(day, by=teacher)
    fix_flask(day, "A", Flask.State.INVESTED, by=teacher)
    StepRecord.objects.update(done_at=dt.datetime(2027, 3, 13, 20, 30, tzinfo=dt.UTC))
    bench = on_bench(day)["A"]
    # New York is five hours behind UTC until 14 March 2027.
    assert (bench.state, bench.by, f"{bench.at:%H:%M}") == (Flask.State.INVESTED, teacher.name, "15:30")


def test_a_flask_holds_the_waxes_of_its_plan(day, student, teacher):
    wax = handed_in(day, student)
    assert flask_contents(make_plan(day, by=teacher)) == {"A": {wax.tag}}
