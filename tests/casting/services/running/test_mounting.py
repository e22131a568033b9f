"""A finished base on the scale: what follows from its weight, what is asked, and what is refused."""

import json

import pytest

from casting.models import BenchChange, Flask, Plan, RubberBase
from casting.models.errors import NotPlanned
from casting.presenters.opened_plan import OpenedPlan
from casting.selectors.account.flasks import planned_flask
from casting.services.flasks import fix_flask
from casting.services.running.mounting import MountDoubted, Typed, note_weighed, undo_weighed
from casting.services.running.ticks import Overtaken, Press, press


@pytest.fixture
def slips_g(planned):
    """What the slips of flask A say."""
    return sum(one.wax.wax_g for one in flask_of(planned).waxes)


def flask_of(day):
    return OpenedPlan(Plan.objects.latest_of(day)).sheet.flask("A")


@pytest.fixture
def weigh(planned, teacher):
    def typed(gross, number="", base="20", **more):
        pressed = Press(
            "weighed", "A", reads=str(round(gross, 4)), base=number, base_reads="" if number else base, **more
        )
        press(planned, pressed, by=teacher)

    return typed


def test_the_base_rules_the_charge_on_every_page_and_paper_and_undo_gives_the_slips_back(weigh, planned, slips_g):
    """By hand: with 4 % more wax there is 4 % more metal, and the button is the least of its width or a share."""
    before = flask_of(planned)
    weigh(20 + 1.04 * slips_g)
    now = flask_of(planned)
    metal_g = 1.04 * before.wax_metal_g
    button_g = max(before.button.by_width_g, metal_g * before.button.share_pct / 100)
    step = now.rules.charge_step_g
    assert now.charge_g == pytest.approx(-(-(metal_g + button_g) // step) * step, abs=1e-6)
    assert now.charge_g > before.charge_g
    assert float(planned_flask(planned, "A").charge_g) == now.charge_g
    assert float(now.working.bare_g) == pytest.approx(metal_g + button_g, abs=0.03)
    weigh(0, undo=True)
    assert flask_of(planned).charge_g == before.charge_g
    changes = [(one.before, one.after) for one in BenchChange.objects.filter(do="weighed")]
    assert changes[0][1]["figures"]["base_g"] == "20" and changes[1] == (changes[0][1], None)


def test_a_numbered_base_is_subtracted_by_its_number(weigh, planned, school, slips_g):
    RubberBase.objects.create(school=school, number="7b", weight_g="31.5")
    weigh(31.5 + slips_g, number="7B")
    assert flask_of(planned).mounted.base.number == "7B"
    assert float(flask_of(planned).mounted.base.wax_g) == pytest.approx(slips_g, abs=0.001)


@pytest.mark.parametrize("share", [0.96, 1.0, 1.049])
def test_what_lies_near_its_slips_is_noted_without_a_word(weigh, planned, slips_g, share):
    weigh(20 + share * slips_g)
    assert flask_of(planned).mounted is not None


@pytest.mark.parametrize(("share", "how"), [(0.9, "10.0 % less"), (1.12, "12.0 % more")])
def test_more_than_a_twentieth_off_is_asked_about(weigh, planned, slips_g, share, how):
    with pytest.raises(MountDoubted, match=f"{how}. Weigh it again, or say that it is right"):
        weigh(20 + share * slips_g)
    assert flask_of(planned).mounted is None
    weigh(20 + share * slips_g, sure=True)
    assert flask_of(planned).mounted.wax.off_pct == pytest.approx(100 * (share - 1), abs=0.1)


def test_far_off_stops_however_sure_somebody_is_and_asks_for_the_unit(weigh, planned, slips_g):
    with pytest.raises(
        NotPlanned, match=r"20\.0 % more\. Over 15 % is another base, another wax or a slip\. Look which"
    ):
        weigh(20 + 1.2 * slips_g, sure=True)
    with pytest.raises(NotPlanned, match="on pennyweights, and is it written as grams"):
        weigh((20 + slips_g) / 1.55517384, base="20")
    assert flask_of(planned).mounted is None


@pytest.mark.parametrize(
    ("gross", "number", "base", "why"),
    [
        ("", "", "20", "Nothing is entered."),
        ("-3", "", "20", "is below zero"),
        ("20", "", "20", "that leaves no wax. Weigh both again"),
        ("30", "", "", "Write the number of the base, or what it weighs alone."),
        ("30", "9", "20", "not both"),
        ("30", "9", "", "The school has no base 9."),
    ],
)
def test_what_is_no_weight_is_said_and_nothing_noted(planned, teacher, gross, number, base, why):
    with pytest.raises(NotPlanned, match=why):
        press(planned, Press("weighed", "A", reads=gross, base=number, base_reads=base), by=teacher)
    assert not BenchChange.objects.exists()


def test_only_a_base_of_the_plan_that_is_not_invested_is_weighed(weigh, planned, teacher, slips_g):
    with pytest.raises(NotPlanned, match="has no flask Q"):
        press(planned, Press("weighed", "Q", reads="30", base_reads="20"), by=teacher)
    weigh(20 + slips_g)
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    with pytest.raises(NotPlanned, match="Its base can no longer be weighed"):
        weigh(21 + slips_g)
    with pytest.raises(NotPlanned, match="its charge stays"):
        weigh(0, undo=True)


def test_weighed_again_it_is_corrected_and_not_over_somebody_else(weigh, planned, slips_g):
    weigh(20 + slips_g, seen=0)
    with pytest.raises(Overtaken):
        weigh(20.1 + slips_g, seen=0)
    weigh(20.1 + slips_g, seen=BenchChange.objects.latest("pk").pk)
    assert BenchChange.objects.latest("pk").before["figures"]["gross_g"] == f"{20 + slips_g:.4f}".rstrip("0")


def test_a_charge_that_no_melt_holds_is_refused(planned, teacher, slips_g):
    plan = Plan.objects.latest_of(planned)
    values = plan.day_values
    charge_g = flask_of(planned).charge_g
    values["rules"] |= {"melt_max_g": charge_g}
    Plan.objects.filter(pk=plan.pk).update(day_file=json.dumps(values))
    with pytest.raises(NotPlanned, match="one melt holds"):
        note_weighed(
            planned, "A", Typed(str(round(20 + 1.1 * slips_g, 4)), "", "20"), by=teacher, at=plan.made_at, sure=True
        )
    note_weighed(planned, "A", Typed(str(round(20 + slips_g, 4)), "", "20"), by=teacher, at=plan.made_at)
    undo_weighed(planned, "A", by=teacher)
