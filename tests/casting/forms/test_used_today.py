"""The equipment of a day: all, also what the school adds later, or what is ticked; never none."""

import pytest

from casting.forms.days import DayForm
from casting.forms.used_today import as_typed, rows_of, used_fields
from casting.models import FlaskSize, Kiln
from casting.services.flasks import note_kiln
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def a_form(teacher, day, **typed):
    local = day.pour_local()
    plain = {
        "pour_on": f"{local:%Y-%m-%d}",
        "pour_time": f"{local:%H:%M}",
        "alloys": [one.pk for one in day.alloys.all()],
    }
    return DayForm(plain | {"all_sizes": "on", "all_kilns": "on"} | typed, person=teacher, day=day)


def test_all_is_kept_as_all_and_some_by_their_keys(teacher, day):
    form = a_form(teacher, day, all_kilns="", kilns_used=["k2"], sizes_used=["51x64"])
    assert form.is_valid()
    # Where all is ticked, the boxes below it do not count.
    assert (form.entry().sizes_used, form.entry().kilns_used) == (None, ["k2"])


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        ({"all_kilns": ""}, "kilns_used", "at least one kiln"),
        ({"all_sizes": ""}, "sizes_used", "at least one flask size"),
        ({"all_kilns": "", "kilns_used": ["k9"]}, "kilns_used", "k9"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(teacher, day, typed, field, says):
    form = a_form(teacher, day, **typed)
    assert not form.is_valid() and says in form.errors[field][0]


def test_a_kiln_that_is_on_cannot_be_left_out(teacher, day):
    handed_in(day)
    (firing,) = make_plan(day, teacher).file["firings"]
    note_kiln(day, firing["kiln"], on=True, by=teacher)
    on, other = firing["kiln"], {"k1": "k2", "k2": "k1"}[firing["kiln"]]
    form = a_form(teacher, day, all_kilns="", kilns_used=[other])
    assert not form.is_valid() and "is noted as on" in form.errors["kilns_used"][0]
    assert a_form(teacher, day, all_kilns="", kilns_used=[on]).is_valid()


def test_nothing_is_asked_where_there_is_no_choice(teacher, day):
    """One kiln is no choice, unless the day uses some of the kilns that there were."""
    Kiln.objects.filter(school=day.course.school, key="k2").update(offered=False)
    assert set(used_fields(day.course.school, day)) == {"all_sizes", "sizes_used"}
    day.kilns_used = ["k2"]
    assert "kilns_used" in used_fields(day.course.school, day)
    FlaskSize.objects.filter(school=day.course.school).update(offered=False)
    assert set(used_fields(day.course.school, day)) == {"all_kilns", "kilns_used"}


def test_a_day_reads_as_it_was_ticked(teacher, day):
    assert as_typed(day) == {"all_sizes": True, "all_kilns": True}
    day.kilns_used = ["k2"]
    assert as_typed(day) == {"all_sizes": True, "all_kilns": False, "kilns_used": ["k2"]}
    rows = {some.name: (all_.initial, some.initial) for all_, some in rows_of(DayForm(None, person=teacher, day=day))}
    assert rows["kilns_used"] == (False, ["k2"]) and rows["sizes_used"][0] is True and len(rows["sizes_used"][1]) == 7
