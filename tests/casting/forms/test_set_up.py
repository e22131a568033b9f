"""The short lists of the set-up: read and refused as on each row's own page."""

import pytest

from casting.forms.set_up import SHORT_LISTS, ShortListForm
from casting.models import Alloy, FlaskSize, Kiln
from casting.services.stock import stock_school


@pytest.fixture
def stocked(school):
    stock_school(school)
    return school


def typed_for(school, step, **changed):
    """What the list posts untouched, with some boxes changed: "key__column"."""
    listed = SHORT_LISTS[step]
    form = ShortListForm(None, school=school, listed=listed)
    typed = {name: field.initial or "" for name, field in form.fields.items()}
    pks = {row.key.replace("-", "_"): row.pk for row in form.rows}
    for name, text in changed.items():
        key, _, column = name.rpartition("__")
        typed[f"{pks[key]}-{column}"] = text
    return ShortListForm({name: str(text) for name, text in typed.items()}, school=school, listed=listed)


@pytest.mark.parametrize("step", SHORT_LISTS)
def test_untouched_it_changes_nothing(stocked, step):
    form = typed_for(stocked, step)
    assert form.is_valid() and form.changes == []


@pytest.mark.parametrize("step", SHORT_LISTS)
def test_untouched_in_other_units_it_changes_nothing(stocked, step):
    stocked.length_unit, stocked.temperature_unit = "in", "F"
    stocked.save()
    form = typed_for(stocked, step)
    assert form.is_valid() and form.changes == []


def test_a_price_and_a_tick_are_read(stocked):
    form = typed_for(stocked, "metals", sterling__price_per_g="1,35", copper__here="on", fine_silver__here="")
    assert form.is_valid(), form.errors
    said = {change.row.key: (change.values, change.here) for change in form.changes}
    assert said == {"sterling": ({"price_per_g": 1.35}, True), "copper": ({}, True), "fine-silver": ({}, False)}


def test_an_empty_price_is_unknown(stocked):
    form = typed_for(stocked, "metals", sterling__price_per_g="")
    assert form.is_valid() and form.changes[0].values == {"price_per_g": None}


def test_none_puts_a_size_away_and_keeps_how_many_there_were(stocked):
    size = FlaskSize.objects.get(key="64x76")
    form = typed_for(stocked, "flasks", **{"64x76__count": "0"})
    assert form.is_valid()
    assert [(change.row, change.values, change.here) for change in form.changes] == [(size, {}, False)]


def test_some_of_a_size_that_is_put_away_takes_it_out(stocked):
    FlaskSize.objects.filter(key="64x76").update(offered=False)
    form = typed_for(stocked, "flasks", **{"64x76__count": "3"})
    assert form.is_valid()
    assert [(change.row.key, change.here) for change in form.changes] == [("64x76", True)]


@pytest.mark.parametrize(
    ("step", "box", "text", "said"),
    [
        ("metals", "sterling__price_per_g", "-1", "below zero"),
        ("metals", "sterling__price_per_g", "a lot", "a lot"),
        ("flasks", "64x76__count", "2.5", "not a whole number"),
        ("flasks", "64x76__count", "", "Nothing is entered here"),
        ("flasks", "64x76__count", "-3", "not a whole number"),
        ("kilns", "k1__width_mm", "0", "0"),
        ("kilns", "k1__width_mm", "", "Nothing is entered here"),
        ("kilns", "k1__height_mm", "1 m", "1 m"),
        ("kilns", "k1__delayed_start", "perhaps", "not on the list"),
    ],
)
def test_a_wrong_figure_is_refused_at_its_box(stocked, step, box, text, said):
    form = typed_for(stocked, step, **{box: text})
    assert not form.is_valid()
    key, _, column = box.rpartition("__")
    row = next(row for row in form.rows if row.key == key)
    assert set(form.errors) == {f"{row.pk}-{column}"}
    assert said in str(form.errors[f"{row.pk}-{column}"])


def test_several_mistakes_are_told_together(stocked):
    form = typed_for(stocked, "kilns", k1__width_mm="x", k2__depth_mm="-4")
    assert len(form.errors) == 2


def test_a_size_too_tall_for_the_kilns_is_not_taken_out(stocked):
    FlaskSize.objects.filter(key="102x102").update(offered=False, height_mm=400)
    assert not typed_for(stocked, "flasks", **{"102x102__count": "1"}).is_valid()


def test_every_row_is_shown_with_its_boxes(stocked):
    shown = list(ShortListForm(None, school=stocked, listed=SHORT_LISTS["kilns"]).shown())
    assert [row for row, *_rest in shown] == list(Kiln.objects.all())
    assert all(len(boxes) == 5 for *_row, boxes in shown)
    assert Alloy.objects.count() == len(list(ShortListForm(None, school=stocked, listed=SHORT_LISTS["metals"]).shown()))
