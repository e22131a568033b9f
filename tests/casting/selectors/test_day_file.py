"""A casting day's rows as a day file, and whether a plan still matches them."""

import json

import pytest
from django.urls import reverse

from casting.calc.plan_day import plan_day
from casting.dayfile import read
from casting.models import CastingDay, Flask, FlaskSize, Investment, Kiln
from casting.models.errors import NotPlanned
from casting.selectors.day_file import day_file_of, day_values_of, equipment_of, is_outdated, kilns_of
from casting.services import waxes as wax_services
from casting.services.flasks import fix_flask, note_kiln
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def day_file(day):
    return json.loads(day_file_of(day))


def test_a_day_file_is_read_as_it_was_typed(day, student):
    wax = handed_in(day, student)
    values = read(day_file_of(day))
    assert values.pour_at == day.pour_at
    (piece,) = values.day.waxes
    assert (piece.key, piece.wax_g, piece.height_mm) == (wax.tag, 3.2, 33)


def test_a_student_s_first_piece_is_the_first_not_withdrawn(day, student):
    first, second, third = (handed_in(day, student) for _ in range(3))
    wax_services.withdraw(first, by=student, version=1)
    pieces = {wax["key"]: wax["piece"] for wax in day_file(day)["waxes"]}
    assert pieces == {second.tag: 1, third.tag: 2}


def test_an_unknown_height_above_the_sea_is_not_sea_level(day):
    day.course.school.elevation_m = None
    assert "elevation_m" not in day_file(day)


def test_no_name_of_a_student_leaves_the_school(day, student):
    handed_in(day, student, own_metal=True)
    text = day_file_of(day)
    assert student.called not in text
    assert f"student-{student.pk}" in text


def test_a_metal_no_longer_offered_still_stands_for_the_wax_that_takes_it(day):
    handed_in(day)
    day.alloys.clear()
    assert [alloy["key"] for alloy in day_file(day)["alloys"]] == ["sterling"]


def test_a_plan_knows_when_a_wax_changed_since(day, student, teacher):
    wax = handed_in(day, student)
    plan = make_plan(day, by=teacher)
    assert not is_outdated(plan)
    wax_services.withdraw(wax, by=student, version=1)
    assert is_outdated(plan)


def test_a_shelf_without_powder_is_said(day, teacher):
    Investment.objects.filter(school=day.course.school).update(offered=False)
    with pytest.raises(NotPlanned, match="no investment powder"):
        make_plan(day, by=teacher)


def test_the_values_are_those_of_the_text(day, student):
    """So that a page may read the values and a child process the text."""
    handed_in(day, student)
    text = json.loads(day_file_of(day))
    assert text.pop("now")
    assert day_values_of(day) == text


def test_the_flasks_before_and_on_the_bench_outdate_no_plan(day, student, teacher):
    handed_in(day, student)
    plan = make_plan(day, by=teacher)
    fix_flask(day, "A", Flask.State.INVESTED, by=teacher)
    values = day_values_of(day)
    assert (values["fixed"], list(values["previous"])) == (["A"], ["A"]) and not is_outdated(plan, values)
    assert is_outdated(plan, values | {"elevation_m": 13})


# What a school records of a material is what its plan asks about: poison gas stops, not recorded warns, no is silent.
@pytest.mark.parametrize(
    ("recorded", "raised"),
    [
        ({"poison_gas": True}, {"R-10"}),
        ({"poison_gas": None}, {"pattern-ask"}),
        ({"poison_gas": None, "heavy_smoke": None}, {"pattern-ask", "R-09"}),
        ({}, set()),
    ],
)
def test_a_school_s_own_material_raises_what_is_recorded_of_it(day, student, recorded, raised):
    wax = handed_in(day, student)
    for name, value in recorded.items():
        setattr(wax.pattern, name, value)
    wax.pattern.save()
    plan = plan_day(read(day_file_of(day)).day, 1)
    assert {caution.id for caution in plan.cautions} & {"R-09", "R-10", "pattern-ask", "pattern-ash"} == raised
    assert len(plan.left_out) == ("R-10" in raised)


def keys(day, part):
    return [row["key"] for row in day_values_of(CastingDay.objects.get(pk=day.pk))[part]]


def use(day, **keys):
    CastingDay.objects.filter(pk=day.pk).update(**keys)


def test_a_day_hands_over_only_what_it_uses(day):
    assert keys(day, "kilns") == ["k1", "k2"] and len(keys(day, "flask_sizes")) == 7
    use(day, kilns_used=["k2"], sizes_used=["64x64", "51x64"])
    assert (keys(day, "kilns"), keys(day, "flask_sizes")) == (["k2"], ["51x64", "64x64"])


def test_all_stays_all_when_the_school_adds_one_and_some_stay_some(day):
    row = Kiln.objects.get(school=day.course.school, key="k1")
    row.pk, row.key, row.place = None, "k3", 9
    row.save()
    assert keys(day, "kilns") == ["k1", "k2", "k3"]
    use(day, kilns_used=["k1"])
    assert keys(day, "kilns") == ["k1"]


@pytest.mark.parametrize(
    ("part", "model", "said"),
    [("kilns_used", Kiln, "None of the kilns"), ("sizes_used", FlaskSize, "None of the flask sizes")],
)
def test_a_day_whose_equipment_is_put_away_is_said_and_not_filled_up(teacher_client, day, teacher, part, model, said):
    handed_in(day)
    plan = make_plan(day, by=teacher)
    (row, *_others) = model.objects.at(day.course.school)
    use(day, **{part: [row.key]})
    model.objects.filter(pk=row.pk).update(offered=False)
    with pytest.raises(NotPlanned, match=said):
        make_plan(CastingDay.objects.get(pk=day.pk), by=teacher)
    for name in ("waxes", "flasks", "papers", "day_plan", "change_day"):
        assert teacher_client.get(reverse(name, args=[day.pk])).status_code == 200
    assert plan.day_values["kilns"]


def test_a_flask_on_the_bench_stays_where_its_size_is_left_out_and_no_other_of_that_size_comes(day, teacher):
    handed_in(day)
    plan = make_plan(day, by=teacher)
    (flask,) = plan.file["flasks"]
    fix_flask(day, flask["label"], Flask.State.INVESTED, by=teacher)
    use(day, sizes_used=["102x102"])
    sizes = {row["key"]: row["count"] for row in day_values_of(CastingDay.objects.get(pk=day.pk))["flask_sizes"]}
    assert sizes == {flask["size"]: 1, "102x102": 1} and flask["size"] != "102x102"
    again = make_plan(CastingDay.objects.get(pk=day.pk), by=teacher)
    assert [one["size"] for one in again.file["flasks"]] == [flask["size"]]


def test_an_invested_flask_moves_from_a_kiln_that_is_left_out_unless_that_is_on(day, teacher):
    handed_in(day)
    plan = make_plan(day, by=teacher)
    (flask,) = plan.file["flasks"]
    fix_flask(day, flask["label"], Flask.State.INVESTED, by=teacher)
    other = {"k1": "k2", "k2": "k1"}[flask["kiln"]]
    use(day, kilns_used=[other])
    again = make_plan(CastingDay.objects.get(pk=day.pk), by=teacher)
    assert [one["kiln"] for one in again.file["flasks"]] == [other]
    use(day, kilns_used=None)
    note_kiln(day, other, on=True, by=teacher)
    use(day, kilns_used=[flask["kiln"]])
    assert keys(day, "kilns") == ["k1", "k2"]


def test_the_keys_of_the_equipment_are_those_of_the_day_file(day):
    use(day, kilns_used=["k1"])
    day.refresh_from_db()
    values = day_values_of(day)
    handed_over = {part: [row["key"] for row in values[part]] for part in ("flask_sizes", "kilns")}
    assert equipment_of(day, None) == handed_over
    assert [row["key"] for row in kilns_of(day.course.school)] == ["k1", "k2"]
