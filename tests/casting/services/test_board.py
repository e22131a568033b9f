"""Steps on the board: each a revision of the plan, each undone to the same bytes; what is forged changes nothing."""

import json
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from casting.calc.values.day_plan import Place
from casting.models import BoardStep, CastingDay, Flask, Plan, WaxHold
from casting.models.errors import NotPlanned
from casting.selectors.board import Kept, last_step
from casting.selectors.day_file import is_outdated
from casting.services.board import BoardChanged, bring_back, let_all_go, redo, take_step, undo
from casting.services.board_moves import Move
from casting.services.flasks import fix_flask
from casting.services.waxes import withdraw
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def latest(day):
    return Plan.objects.latest_of(day)


def home(day):
    """The flask of each wax in the last plan."""
    return {wax["key"]: flask["label"] for flask in latest(day).file["flasks"] for wax in flask["waxes"]}


def do(day, by, **move):
    return take_step(day, Move(**move), revision=latest(day).revision if latest(day) else 0, by=by)[0]


def small(day):
    """A size of which the shelf has a flask left."""
    used = [flask["size"] for flask in latest(day).file["flasks"]]
    return next(row["key"] for row in latest(day).day_values["flask_sizes"] if row["count"] > used.count(row["key"]))


def test_a_wax_carried_to_a_new_flask_makes_the_next_revision_and_is_kept_there(board, teacher):
    tag = min(home(board))
    step = do(board, teacher, do="carry", tag=tag, size=small(board))
    assert (step.did, step.by, step.plan.revision, step.figures["tag"]) == ("carry", teacher, 2, tag)
    assert home(board)[tag] == step.figures["to"] not in home_before(board).values()
    assert WaxHold.objects.get().label == step.figures["to"]
    assert not is_outdated(latest(board))
    # Its neighbours stand where they stood, but for one that is left alone.
    before, after = (spots(Plan.objects.get(day=board, revision=nth)) for nth in (1, 2))
    alone = {flask["waxes"][0]["key"] for flask in latest(board).file["flasks"] if len(flask["waxes"]) == 1}
    assert all(after[key] == before[key] for key in before.keys() - alone)


def home_before(day):
    plan = Plan.objects.get(day=day, revision=1)
    return {wax["key"]: flask["label"] for flask in plan.file["flasks"] for wax in flask["waxes"]}


def spots(plan):
    return {
        wax["key"]: (wax["x_mm"], wax["y_mm"], wax["turn_deg"])
        for flask in plan.file["flasks"]
        for wax in flask["waxes"]
    }


def test_thirty_steps_are_undone_to_the_same_bytes_and_done_again(board, teacher):
    tags, began = sorted(home(board)), latest(board)
    for nth in range(30):
        if nth % 2 == 0:
            do(board, teacher, do="out", tag=tags[nth % len(tags)])
        else:
            do(board, teacher, do="carry", tag=tags[(nth - 1) % len(tags)], size=small(board))
    ended = latest(board)
    files = {plan.revision: (plan.day_file, plan.plan_file) for plan in Plan.objects.filter(day=board)}
    assert ended.revision == 31
    for nth in range(30):
        undo(board, revision=latest(board).revision, by=teacher)
        assert (latest(board).day_file, latest(board).plan_file) == files[30 - nth]
    assert (latest(board).day_file, latest(board).plan_file) == (began.day_file, began.plan_file)
    assert not WaxHold.objects.exists()
    with pytest.raises(NotPlanned, match="no step to undo"):
        undo(board, revision=latest(board).revision, by=teacher)
    for _nth in range(30):
        redo(board, revision=latest(board).revision, by=teacher)
    assert (latest(board).day_file, latest(board).plan_file) == (ended.day_file, ended.plan_file)
    with pytest.raises(NotPlanned, match="no step to do again"):
        redo(board, revision=latest(board).revision, by=teacher)
    assert Plan.objects.get(day=board, revision=5).plan_file == files[5][1]  # nothing was edited


def test_steps_of_one_day_are_undone_and_done_again_on_later_ones_to_the_same_bytes(board, teacher, monkeypatch):
    began, files = timezone.now(), {}

    def on_day(nth):
        """The day so many days later, as a process reads it that was started then."""
        monkeypatch.setattr(timezone, "now", lambda: began + timedelta(days=nth))
        return CastingDay.objects.get(pk=board.pk)

    tags = sorted(home(board))
    for nth in range(4):
        files[nth] = (latest(board).day_file, latest(board).plan_file)
        do(on_day(2 * nth), teacher, do="out", tag=tags[nth])
    files[4] = (latest(board).day_file, latest(board).plan_file)
    for late, nth in ((9, 3), (10, 2), (12, 1)):
        undo(on_day(late), revision=latest(board).revision, by=teacher)
        assert (latest(board).day_file, latest(board).plan_file) == files[nth]
    for late, nth in ((13, 2), (14, 3), (14, 4)):
        redo(on_day(late), revision=latest(board).revision, by=teacher)
        assert (latest(board).day_file, latest(board).plan_file) == files[nth]
    # Each was planned on its own day, so the bytes are those of then.
    planned_on = {json.loads(files[nth][0])["now"][:10] for nth in range(1, 5)}
    assert len(planned_on) == 4


def test_a_plan_that_the_computer_makes_meanwhile_is_a_step_too(board, teacher):
    do(board, teacher, do="out", tag=min(home(board)))
    by_hand = latest(board)
    let_all_go(board, by=teacher)
    made = make_plan(board, teacher)
    assert made.plan_file != by_hand.plan_file
    undo(board, revision=made.revision, by=teacher)
    undo(board, revision=latest(board).revision, by=teacher)
    assert latest(board).plan_file == by_hand.plan_file
    dids = list(BoardStep.objects.values_list("did", flat=True))
    assert dids == ["planned", "out", "let_go", "planned", "undo", "undo"]


def test_of_two_teachers_the_second_learns_who_was_quicker_and_loses_nothing(board, teacher):
    tags, seen = sorted(home(board)), latest(board).revision
    do(board, teacher, do="out", tag=tags[0])
    before = rows(board)
    with pytest.raises(BoardChanged) as refused:
        take_step(board, Move("out", tag=tags[1]), revision=seen, by=teacher)
    assert refused.value.since == seen
    assert refused.value.sentence.startswith(f"{teacher.name} was quicker, at ")
    assert f"{tags[0]} left out" in refused.value.sentence
    assert rows(board) == before
    # Done again on the board as it is, it is done.
    do(board, teacher, do="out", tag=tags[1])
    assert set(tags[:2]).isdisjoint(home(board))


def rows(day):
    return [list(kind.objects.values()) for kind in (Plan, BoardStep, WaxHold, Flask)]


FORGED = {
    "a foreign wax": ({"do": "carry", "tag": "ZZ", "label": "A"}, "This day has no wax ZZ."),
    "no flask of that letter": ({"do": "carry", "label": "Q9"}, "The board has no flask Q9."),
    "a wax swapped with none": ({"do": "swap", "other": "ZZ"}, "This day has no wax ZZ."),
    "a split of nothing": ({"do": "split", "label": "A", "tags": ()}, "Choose some of the waxes of A"),
    "a flask joined to itself": ({"do": "join", "label": "A", "other": "A"}, "Choose another flask to join to A."),
    "a size that nobody has": ({"do": "size", "label": "A", "size": "1x1"}, "Choose another size for A."),
    "a wax carried home": ({"do": "carry", "label": "home"}, "is in"),
}


@pytest.mark.parametrize("name", FORGED)
def test_a_forged_step_is_refused_with_a_sentence_and_changes_nothing(name, board, teacher):
    move, sentence = FORGED[name]
    tag = min(home(board))
    given = {"tag": tag} | move
    if given.get("label") == "home":
        given["label"] = home(board)[tag]
    before = rows(board)
    with pytest.raises(NotPlanned) as refused:
        do(board, teacher, **given)
    assert sentence in refused.value.sentence
    assert rows(board) == before


def test_a_flask_on_the_bench_takes_and_gives_no_wax(board, teacher):
    tag = min(home(board))
    label = home(board)[tag]
    fix_flask(board, label, "invested", by=teacher)
    before = rows(board)
    for move in ({"do": "out"}, {"do": "turn", "shift": (0, 0, 15)}, {"do": "keep", "label": label}):
        with pytest.raises(NotPlanned, match=f"Flask {label} is on the bench"):
            do(board, teacher, **({"tag": tag} | move))
    assert rows(board) == before


def test_keep_and_let_go_leave_the_plan_as_it_is(board, teacher):
    tag, plan = min(home(board)), latest(board)
    do(board, teacher, do="keep", tag=tag, other="spot")
    do(board, teacher, do="keep", label=home(board)[tag])
    assert latest(board).plan_file == plan.plan_file and not is_outdated(latest(board))
    kept = Kept.of(last_step(board))
    assert kept.spots == {tag} and kept.flasks == {home(board)[tag]} and WaxHold.objects.get().wax.tag == tag
    do(board, teacher, do="let_go", tag=tag)
    do(board, teacher, do="let_go", label=home(board)[tag])
    assert Kept.of(last_step(board)) == Kept() and not WaxHold.objects.exists()


def test_a_wax_left_out_stays_out_of_the_computer_s_plan_until_it_is_taken_back_in(board, teacher):
    tag = min(home(board))
    do(board, teacher, do="out", tag=tag)
    left = latest(board).file["left_out"]
    assert [(row["key"], row["reason"]) for row in left] == [(tag, "kept_out")]
    do(board, teacher, do="back", tag=tag)
    assert Kept.of(last_step(board)).out == frozenset() and tag not in home(board)
    make_plan(board, teacher)
    assert tag in home(board)


def test_the_computer_plans_around_what_is_kept(board, teacher):
    tag = min(home(board))
    step = do(board, teacher, do="carry", tag=tag, size=small(board))
    make_plan(board, teacher)
    assert home(board)[tag] == step.figures["to"]


def test_the_first_step_on_an_empty_board_can_be_undone(day, student, teacher):
    wax = handed_in(day, student)
    step, _said = take_step(day, Move("carry", tag=wax.tag, size="64x64"), revision=0, by=teacher)
    assert step.plan.revision == 2 and home(day) == {wax.tag: "A"}
    undo(day, revision=2, by=teacher)
    assert home(day) == {}


def test_an_undo_after_the_day_has_changed_keeps_the_board_and_takes_the_waxes_as_they_are(board, teacher):
    tags = sorted(home(board))
    board.waxes.filter(tag=tags[1]).update(wax_g=Decimal("3.00"))
    do(board, teacher, do="out", tag=tags[0])
    withdraw(board.waxes.get(tag=tags[2]), by=teacher, version=1)
    undo(board, revision=latest(board).revision, by=teacher)
    assert set(home(board)) == set(tags) - {tags[2]}
    weights = {wax["key"]: wax["wax_g"] for wax in json.loads(latest(board).day_file)["waxes"]}
    assert weights[tags[1]] == 3.0 and not is_outdated(latest(board))


def test_a_wax_is_turned_on_its_spot_and_kept_there(board, teacher):
    tag = next(flask["waxes"][0]["key"] for flask in latest(board).file["flasks"])
    do(board, teacher, do="turn", tag=tag, shift=(0, 0, 5))
    before, after = (spots(Plan.objects.get(day=board, revision=nth))[tag] for nth in (1, 2))
    assert after == (before[0], before[1], pytest.approx((before[2] + 5) % 360))
    assert Kept.of(last_step(board)).spots == {tag}


def test_a_plan_made_anew_leaves_a_wax_on_its_spot_and_those_that_stand_with_it(board, teacher):
    """Alone in its flask it would have to stand on the axis, and no plan could be made."""
    flask = next(flask for flask in latest(board).file["flasks"] if len(flask["waxes"]) > 1)
    tag, tags = flask["waxes"][0]["key"], {wax["key"] for wax in flask["waxes"]}
    do(board, teacher, do="keep", tag=tag, other="spot")
    before = spots(latest(board))[tag]
    after = make_plan(board, teacher)
    assert spots(after)[tag] == before and {home(board)[one] for one in tags} == {flask["label"]}


def test_a_spot_in_the_wall_is_refused_with_a_figure(board, teacher):
    tag = next(flask["waxes"][0]["key"] for flask in latest(board).file["flasks"])
    before = rows(board)
    with pytest.raises(NotPlanned, match=r"\d\u202fmm"):
        do(board, teacher, do="spot", tag=tag, spot=Place(60, 0, 0))
    assert rows(board) == before


def test_an_earlier_revision_comes_back_byte_for_byte_and_can_be_undone(board, teacher):
    one, two = sorted(home(board))[:2]
    do(board, teacher, do="out", tag=one)
    do(board, teacher, do="out", tag=two)
    files = {plan.revision: (plan.day_file, plan.plan_file) for plan in Plan.objects.filter(day=board)}
    step = bring_back(board, 1, revision=3, by=teacher)
    assert (step.did, step.by, step.plan.revision, step.figures) == ("brought", teacher, 4, {"revision": 1})
    assert (step.plan.day_file, step.plan.plan_file) == files[1] and Kept.of(step) == Kept()
    undo(board, revision=4, by=teacher)
    assert (latest(board).day_file, latest(board).plan_file) == files[3]
    assert Kept.of(last_step(board)).out == {one, two}
    redo(board, revision=5, by=teacher)
    assert latest(board).plan_file == files[1][1]


def test_a_revision_that_is_none_and_one_of_a_board_seen_too_long_ago_are_refused(board, teacher):
    do(board, teacher, do="out", tag=min(home(board)))
    for number in (0, 2, 3):
        with pytest.raises(NotPlanned, match=f"no earlier revision {number}"):
            bring_back(board, number, revision=2, by=teacher)
    with pytest.raises(BoardChanged):
        bring_back(board, 1, revision=1, by=teacher)
    assert latest(board).revision == 2


def test_a_flask_invested_since_stays_when_an_earlier_revision_comes_back(board, teacher):
    tag = min(home(board))
    do(board, teacher, do="out", tag=tag)
    fix_flask(board, "A", "invested", by=teacher)
    stands = next(flask for flask in latest(board).file["flasks"] if flask["label"] == "A")["waxes"]
    bring_back(board, 1, revision=2, by=teacher)
    now = next(flask for flask in latest(board).file["flasks"] if flask["label"] == "A")["waxes"]
    places = ("key", "x_mm", "y_mm", "turn_deg")
    assert [[wax[one] for one in places] for wax in now] == [[wax[one] for one in places] for wax in stands]


def test_a_board_goes_on_after_a_student_withdrew_one_of_two(day, student, teacher):
    gone, left = handed_in(day, student), handed_in(day, student)
    make_plan(day, teacher)
    do(day, teacher, do="keep", tag=left.tag, other="spot")
    withdraw(gone, by=student, version=1)
    do(day, teacher, do="out", tag=handed_in(day, student).tag)
    (flask,) = latest(day).file["flasks"]
    (stands,) = flask["waxes"]
    assert (stands["key"], stands["x_mm"], stands["y_mm"]) == (left.tag, 0, 0)
    assert home(make_plan(day, teacher).day) == {left.tag: flask["label"]}
