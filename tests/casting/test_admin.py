"""What who keeps the host sees of the casting days."""

import json

import pytest
from django.urls import reverse

from casting.models import Alloy, FlaskSize, Kiln
from tests.casting_factories import handed_in
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory


@pytest.fixture
def keeper_client(db):
    return client_of_teacher(PersonFactory(school=None, is_staff=True, is_superuser=True))


@pytest.mark.parametrize("name", ["alloy", "kiln", "castingday", "wax", "waxchange", "flask", "plan", "paperprinted"])
def test_every_list_opens(keeper_client, day, name):
    handed_in(day)
    assert keeper_client.get(reverse(f"admin:casting_{name}_changelist")).status_code == 200


def test_a_wax_is_read_there_and_never_written(keeper_client, day):
    wax = handed_in(day)
    change = reverse("admin:casting_wax_change", args=[wax.pk])
    assert keeper_client.get(change).status_code == 200
    assert keeper_client.post(change, {"what": "other"}).status_code == 403
    assert keeper_client.get(reverse("admin:casting_wax_add")).status_code == 403
    assert keeper_client.post(reverse("admin:casting_wax_delete", args=[wax.pk]), {"post": "yes"}).status_code == 403


def test_a_teacher_has_no_key_to_it(teacher_client, day):
    alloy = Alloy.objects.filter(school=day.course.school).first()
    assert teacher_client.get(reverse("admin:casting_alloy_change", args=[alloy.pk])).status_code == 302


def typed_flask(day, **changed):
    """What the administration posts for a flask size."""
    plain = {"school": day.course.school_id, "key": "wide", "name": "Wide", "offered": "on", "place": "0"}
    return (
        plain
        | {"diameter_mm": "88.9", "height_mm": "101.6", "count": "2", "mount": "cone", "wall": "solid", "sources": "{}"}
        | changed
    )


def test_a_mistake_on_the_shelf_is_shown_at_its_field(keeper_client, day):
    typed = typed_flask(day, diameter_mm="-3", outside_mm="0", count="")
    answer = keeper_client.post(reverse("admin:casting_flasksize_add"), typed)
    assert answer.status_code == 200
    assert answer.context["adminform"].form.errors == {
        "diameter_mm": ["-3 stands here, but it must be at least 20 and at most 250; give the inside diameter in mm."],
        "outside_mm": ["0 stands here, but it must be more than 0 and at most 500; correct it."],
        "count": ["This field is required."],
    }
    assert not FlaskSize.objects.filter(key="wide").exists()


def test_a_fair_flask_is_saved(keeper_client, day):
    assert keeper_client.post(reverse("admin:casting_flasksize_add"), typed_flask(day)).status_code == 302
    assert FlaskSize.objects.get(key="wide").diameter_mm == 88.9


def typed_powder(day, **changed):
    """What the administration posts for a powder."""
    plain = {
        "school": day.course.school_id,
        "key": "own",
        "name": "Own",
        "offered": "on",
        "place": "0",
        "sources": "{}",
    }
    figures = {"water_per_100": "40", "specific_gravity": "2.53", "allowance_pct": "12", "working_min": "9.5"}
    return plain | figures | {"set_min": "120", "max_c": "750", "kind": "gypsum"} | changed


def test_a_kind_of_powder_that_nobody_knows_is_refused_at_its_field_with_the_list(keeper_client, day):
    answer = keeper_client.post(reverse("admin:casting_investment_add"), typed_powder(day, kind="Plaster"))
    assert answer.context["adminform"].form.errors == {
        "kind": [
            "Plaster is entered, but it is not known here; take one of: gypsum (plaster), phosphate, not recorded."
        ]
    }
    assert keeper_client.post(reverse("admin:casting_investment_add"), typed_powder(day)).status_code == 302


def test_a_figure_changed_there_loses_its_source_and_its_mark(keeper_client, day):
    kiln = Kiln.objects.filter(school=day.course.school).first()
    assert kiln.to_day()["from_memory"] == ["cool_c_per_h", "wall_gap_mm"]
    typed = {name: value for name in (*Kiln.figures, "place", "key") if (value := getattr(kiln, name)) is not None}
    typed |= {"school": kiln.school_id, "offered": "on", "sources": json.dumps(kiln.sources), "cool_c_per_h": "95"}
    assert keeper_client.post(reverse("admin:casting_kiln_change", args=[kiln.pk]), typed).status_code == 302
    kiln.refresh_from_db()
    assert kiln.to_day()["from_memory"] == ["wall_gap_mm"]
    assert kiln.sources["cool_c_per_h"]["source"].startswith("typed by the school, ")
