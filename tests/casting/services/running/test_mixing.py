"""A bowl at the bench: what is noted of it, what is refused, and that its flasks are invested by it."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import BenchChange, CastingDay, DayChange, Flask, Plan
from casting.models.errors import NotPlanned
from casting.selectors.flasks import noted_on
from casting.services import waxes
from casting.services.flasks import ContentsChanged, fix_flask
from casting.services.running.mixing import WaterDoubted, fill_flasks, take_gloss
from casting.services.running.ticks import Press, press


@pytest.fixture
def bowl(board):
    """The letters of a bowl that fills more than one flask."""
    return next("+".join(row["flasks"]) for row in Plan.objects.latest_of(board).file["bowls"] if row["flasks"][1:])


@pytest.fixture
def note(board, bowl, teacher):
    def pressed(do, ago_min=0.0, what=None, **more):
        at = timezone.now() - dt.timedelta(minutes=ago_min)
        press(board, Press(do, bowl if what is None else what, at=at, **more), by=teacher)

    return pressed


def figures(board, do, bowl):
    return noted_on(board)[do, bowl].figures


def test_its_flasks_are_invested_by_one_press_and_at_its_time(note, board, bowl):
    note("mixing", 6, who="Nadia Ferro")
    note("mix", 2)
    then = noted_on(board)
    assert then["mixing", bowl].by == "Nadia Ferro"
    for label in bowl.split("+"):
        assert board.states()[label] == Flask.State.INVESTED
        assert then["mix", label].at - then["mixing", bowl].at == pytest.approx(
            dt.timedelta(minutes=4), abs=dt.timedelta(seconds=1)
        )
    note("mix", 1)
    assert noted_on(board)["mix", label].at == then["mix", label].at
    with pytest.raises(NotPlanned, match="The flasks of this bowl are invested"):
        note("water", reads="20")
    note("mix", undo=True)
    assert board.states() == {}


def test_it_is_filled_after_it_was_begun(note):
    note("mixing", 2)
    with pytest.raises(NotPlanned, match=r"It cannot be filled on .*: its powder met the water on"):
        note("mix", 5)


def test_one_of_its_flasks_may_be_invested_already(note, board, bowl, teacher):
    first = bowl.split("+")[0]
    fix_flask(board, first, Flask.State.INVESTED, by=teacher)
    before = noted_on(board)["mix", first]
    note("mix")
    assert set(bowl.split("+")) <= board.states().keys() and noted_on(board)["mix", first] == before


def test_a_wax_that_changed_is_asked_about_first_and_no_flask_is_half_noted(board, bowl, teacher):
    plan = Plan.objects.latest_of(board)
    tag = next(row["waxes"][0]["key"] for row in plan.file["flasks"] if row["label"] == bowl.split("+")[-1])
    wax = board.waxes.get(tag=tag)
    waxes.withdraw(wax, by=wax.student, version=wax.version)
    with pytest.raises(ContentsChanged):
        fill_flasks(board, bowl, by=teacher, at=timezone.now())
    assert board.states() == {}
    fill_flasks(board, bowl, by=teacher, at=timezone.now(), as_planned=True)
    assert len(board.states()) == len(bowl.split("+"))


def test_gloss_is_measured_from_the_powder_in_the_water_and_counts_only_when_a_teacher_says_so(
    note, board, bowl, teacher
):
    """By hand: from 8 min 15 s ago until now are 8.25 min, down to 8.2."""
    with pytest.raises(NotPlanned, match="Nobody noted when the powder of this bowl met the water"):
        note("gloss")
    note("mixing", 8.25)
    note("gloss")
    assert figures(board, "gloss", bowl) == {"min": 8.2}
    with pytest.raises(NotPlanned, match="Take that back first"):
        note("mixing", undo=True)
    assert CastingDay.objects.get(pk=board.pk).gloss_off_min is None
    take_gloss(board, bowl, by=teacher)
    take_gloss(board, bowl, by=teacher)
    now = CastingDay.objects.get(pk=board.pk)
    assert now.gloss_off_min == 8.2 and now.version == board.version + 1
    change = DayChange.objects.filter(by_person=teacher).latest("pk")
    assert (change.before["gloss_off_min"], change.after["gloss_off_min"]) == (None, 8.2)
    note("gloss", undo=True)
    with pytest.raises(NotPlanned, match="Nobody noted when the gloss"):
        take_gloss(board, bowl, by=teacher)
    note("mixing", undo=True)
    assert [one.do for one in BenchChange.objects.all() if one.after is None] == ["gloss", "mixing"]


@pytest.mark.parametrize("ago_min", [0.5, 61])
def test_what_is_no_time_for_gloss_is_refused(note, ago_min):
    note("mixing", ago_min)
    with pytest.raises(NotPlanned, match="is no time for gloss"):
        note("gloss")


def test_water_and_gauge_are_noted_and_what_no_mix_has_is_refused(note, board, bowl):
    note("water", reads="21.5")
    note("bell", reads="27")
    assert (figures(board, "water", bowl), figures(board, "bell", bowl)["reading"]) == ({"celsius": 21.5}, 27)
    for typed, why in (("70", "is hotter than the water of any mix"), ("warm", "is not a number")):
        with pytest.raises(NotPlanned, match=why):
            note("water", reads=typed)


def test_water_that_makes_a_wet_or_a_dry_mix_is_asked_about_at_once_and_kept_beside_its_powder(note, board, bowl):
    """By hand: of 40 to 100 two percent are 0.8, so 40.7 is let pass and 40.9 asked about."""
    row = next(one for one in Plan.objects.latest_of(board).file["bowls"] if "+".join(one["flasks"]) == bowl)
    assert 100 * row["water_g"] / row["powder_g"] == pytest.approx(40, abs=0.02)
    planned = {"powder_g": row["powder_g"], "asked_g": row["water_g"]}
    near, wet, dry = (f"{row['powder_g'] * ratio / 100:.1f}" for ratio in (40.7, 44, 38))
    note("water_g", reads=near)
    assert figures(board, "water_g", bowl) == {"water_g": near.removesuffix(".0")} | planned
    for typed, how in ((wet, r"is 44\.0 to 100.* 10\.\d % too much"), (dry, r"is 38\.0 to 100.* 5\.\d % too little")):
        with pytest.raises(WaterDoubted, match=how):
            note("water_g", reads=typed)
    assert figures(board, "water_g", bowl)["water_g"] == near.removesuffix(".0"), "what is asked about is not noted"
    for _again in range(2):
        note("water_g", reads=wet, sure=True)
    assert figures(board, "water_g", bowl)["water_g"] == wet.removesuffix(".0")
    for typed, why in (("0", "g is not a weight of water"), ("much", "is not a number")):
        with pytest.raises(NotPlanned, match=why):
            note("water_g", reads=typed, sure=True)
    note("water_g", undo=True)
    assert ("water_g", bowl) not in noted_on(board)


def test_a_bowl_of_no_plan_is_none(note):
    for do in ("water", "water_g", "mixing", "bell", "gloss", "mix"):
        with pytest.raises(NotPlanned, match="The last plan mixes no such bowl"):
            note(do, what="A+Q", reads="20")
