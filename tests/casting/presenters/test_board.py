"""The board's flasks, its line and the waxes beside it, with what changed marked."""

from casting.models import Flask, Plan
from casting.presenters.board import BoardPage
from casting.presenters.opened_plan import OpenedPlan
from casting.selectors.board import Kept
from casting.selectors.day_file import day_values_of
from casting.services.board import take_step
from casting.services.board_moves import Move
from casting.services.flasks import fix_flask
from casting.services.running.ticks import Press, press
from tests.casting_factories import handed_in


def page(day, **more):
    plan = Plan.objects.latest_of(day)
    since = Plan.objects.filter(day=day, revision=plan.revision - 1).first()
    return BoardPage(
        day,
        OpenedPlan(plan),
        **({"kept": Kept(), "held": {}, "waxes": list(day.waxes.standing())} | more),
        since=since,
        values=day_values_of(day),
    )


def test_the_line_has_the_plan_s_figures_and_nothing_changed_before_a_step(planned):
    board = page(planned)
    assert board.head == "3 waxes in 1 flask" and board.revision == 1
    words = dict(board.line)
    assert {name: bool(figure.words) for name, figure in words.items()} == {
        "hand-in closes": True, "kiln on": True, "last pour": True, "cost": True,
    }  # fmt: skip
    assert not any(figure.was for figure in words.values()) and board.moved == frozenset() and board.loose == []


def test_after_a_step_what_changed_is_marked_with_what_it_was(planned, teacher):
    before = page(planned).flasks[0]
    tag = before.sheet.waxes[0].name.tag
    take_step(planned, Move("out", tag=tag), revision=1, by=teacher)
    board = page(planned, kept=Kept(out=frozenset({tag})))
    (flask,) = board.flasks
    assert flask.figures["charge_g"].was == before.figures["charge_g"].words != flask.figures["charge_g"].words
    assert flask.figures["size"].was == "" and flask.change.went == (tag,)
    (loose,) = board.loose
    assert (loose.name.tag, loose.kept_out, loose.why, loose.wide_mm) == (tag, True, "", 22.0)
    assert board.head == "2 waxes in 1 flask" and not board.outdated


def test_the_strip_shows_how_far_a_flask_has_come(planned, teacher):
    assert page(planned).flasks[0].stage_words == "" and page(planned).flasks[0].is_open
    # Three bands of 3.20 g on a base of 20 g.
    press(planned, Press("weighed", "A", reads="29.6", base="", base_reads="20"), by=teacher)
    assert page(planned).flasks[0].stage_words == "mounted" and page(planned).flasks[0].is_open
    fix_flask(planned, "A", "invested", by=teacher)
    flask = page(planned).flasks[0]
    assert [(str(word), done) for word, done in flask.steps] == [
        ("mounted", True), ("invested", True), ("in the kiln", False), ("poured", False), ("quenched", False),
        ("given back", False),
    ]  # fmt: skip
    assert flask.stage_words == "invested" and not flask.is_open
    Flask.objects.update(state="poured")
    assert page(planned).flasks[0].stage_words == "poured"


def test_a_wax_of_which_the_plan_has_not_heard_waits_and_outdates_it(planned, student):
    late = handed_in(planned, student)
    board = page(planned)
    assert [one.name.tag for one in board.loose] == [late.tag] and board.outdated
    assert not board.loose[0].kept_out


def test_sizes_of_which_no_flask_is_left_are_not_offered(planned):
    board = page(planned)
    rows = {row["key"]: row["count"] for row in board.values["flask_sizes"]}
    used = board.flasks[0].sheet.size.key
    for row in board.values["flask_sizes"]:
        row["count"] = 1
    again = page(planned)
    object.__setattr__(again, "values", board.values)
    assert used not in [size.key for size in again.sizes] and set(rows) > {size.key for size in again.sizes}
    wide = [size.diameter_mm for size in again.sizes]
    assert wide == sorted(wide)


def test_without_a_plan_every_wax_waits(day, student):
    wax = handed_in(day, student)
    board = BoardPage(day, None, Kept(), {}, list(day.waxes.standing()), values=day_values_of(day))
    assert (board.flasks, board.line, board.revision, board.head) == ([], [], 0, "1 wax, in no flask")
    assert [one.name.tag for one in board.loose] == [wax.tag] and board.sizes and not board.outdated


def test_what_is_kept_is_pinned(planned):
    board = page(planned, kept=Kept(flasks=frozenset("A"), spots=frozenset({"C3"})), held={"E4": "A"})
    assert board.pinned == {"C3", "E4"} and board.flasks[0].kept
