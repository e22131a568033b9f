"""On the flasks page: which waxes moved and why, and what would save a flask."""

import json

import pytest
from django.urls import reverse

from casting.models import Plan, Search
from casting.selectors.searches import found_by
from casting.services import searches
from casting.services.flasks import hold_wax
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.waiting import until

HTMX = {"HX-Request": "true"}
NOTED = "import pathlib, sys\nfrom casting.worker import child\n"
STUD = {"wax_g": "0.7", "width_mm": 8, "depth_mm": 6, "height_mm": 20}


@pytest.fixture
def two_metals(day, teacher, monkeypatch):
    """Three studs, one of them alone in bronze: two flasks, one if it were sterling."""
    monkeypatch.setattr(searches, "PATIENCE_S", 120)
    bronze = day.alloys.get(key="si-bronze")
    handed_in(day, **STUD)
    handed_in(day, **STUD)
    lone = handed_in(day, what="lone stud", alloy=bronze, **STUD)
    make_plan(day, by=teacher)
    return lone


def test_what_would_save_a_flask_is_asked_for_and_told(day, teacher_client, two_metals):
    flasks = reverse("flasks", args=[day.pk])
    assert "See what one change would save" in teacher_client.get(flasks).content.decode()
    answer = teacher_client.post(reverse("saves", args=[day.pk]))
    assert answer["Location"] == flasks + "#saves"
    page = teacher_client.get(flasks).content.decode()
    assert f"{two_metals.tag} ({two_metals.student.called}, lone stud) in Sterling silver" in page
    assert "1 flask instead of 2" in page and "See what one change would save" not in page


def test_it_is_told_only_beside_the_plan_that_it_is_about(day, teacher, teacher_client, two_metals):
    teacher_client.post(reverse("saves", args=[day.pk]))
    make_plan(day, by=teacher)
    page = teacher_client.get(reverse("flasks", args=[day.pk])).content.decode()
    assert "1 flask instead of 2" not in page and "See what one change would save" in page


@pytest.mark.child
def test_a_poll_is_answered_only_when_there_is_more(day, teacher, teacher_client, two_metals, monkeypatch):
    line = '{"passed": 3, "of": 9, "ruled_out": 2, "planned": 1, "done": false, "saves": []}'
    monkeypatch.setattr(
        searches, "CHILD", ("-c", f"import time\nprint({line!r}, flush=True)\nwhile True: time.sleep(60)\n")
    )
    monkeypatch.setattr(searches, "PATIENCE_S", 0)
    teacher_client.post(reverse("saves", args=[day.pk]))
    search = Search.objects.get(kind=Search.Kind.SAVING)
    until(lambda: found_by(search))
    address = reverse("saves", args=[day.pk])
    assert teacher_client.get(address, {"seen": 3}, headers=HTMX).status_code == 204
    part = teacher_client.get(address, {"seen": 0}, headers=HTMX).content.decode()
    assert "3 of 9 single changes tried." in part and "seen=3" in part
    searches.stop(search)
    part = teacher_client.get(address, {"seen": 3}, headers=HTMX).content.decode()
    assert "The search ended after 3 of 9 changes." in part and "The others were not tried." in part
    assert "Try again" in part


@pytest.mark.child
def test_no_more_is_said_than_was_tried(day, teacher, teacher_client, two_metals, monkeypatch):
    line = '{"passed": 9, "of": 9, "ruled_out": 6, "planned": 2, "done": true, "saves": []}'
    monkeypatch.setattr(searches, "CHILD", ("-c", f"{NOTED}print({line!r})\nchild.note(pathlib.Path(sys.argv[1]), 0)"))
    teacher_client.post(reverse("saves", args=[day.pk]))
    page = teacher_client.get(reverse("flasks", args=[day.pk])).content.decode()
    assert "None of 8 single changes saves a flask" in page and "1 more were not tried" in page


@pytest.mark.child
def test_what_it_costs_has_the_currency_of_the_slips(day, teacher_client, two_metals, monkeypatch):
    save = {"kind": "flask", "what": "51x64", "by": 1, "to": "", "flasks": 1, "left_out": 0, "cost": 3.1}
    save["last_pour_at"] = Plan.objects.get().file["flasks"][-1]["out_at"]
    line = json.dumps({"passed": 1, "of": 1, "ruled_out": 0, "planned": 1, "done": True, "saves": [save]})
    monkeypatch.setattr(searches, "CHILD", ("-c", f"{NOTED}print({line!r})\nchild.note(pathlib.Path(sys.argv[1]), 0)"))
    teacher_client.post(reverse("saves", args=[day.pk]))
    page = teacher_client.get(reverse("flasks", args=[day.pk])).content.decode()
    now = f"{Plan.objects.get().file['totals']['cost']:.2f}"
    assert f"powder and buttons cost 3.10\u202fUSD instead of {now}\u202fUSD" in page


def test_only_the_school_s_teacher_asks(day, two_metals, student_client, other_teacher_client, stranger_client):
    address = reverse("saves", args=[day.pk])
    assert other_teacher_client.post(address).status_code == 404
    for client in (student_client, stranger_client):
        assert "next=" in client.post(address)["Location"]
    assert not Search.objects.filter(kind=Search.Kind.SAVING).exists()


def test_a_wax_that_moved_is_named_with_its_reason(day, teacher, teacher_client):
    wax = handed_in(day, what="leaf ring")
    make_plan(day, by=teacher)
    hold_wax(wax, "K", teacher)
    make_plan(day, by=teacher)
    page = teacher_client.get(reverse("flasks", args=[day.pk])).content.decode()
    assert "1 wax moved since the last plan" in page
    assert f"{wax.student.called}, leaf ring: from A to K. You kept it in K." in page


def test_the_shelf_and_the_reason_stand_with_the_flasks(day, teacher, teacher_client):
    handed_in(day)
    plan = make_plan(day, by=teacher)
    page = teacher_client.get(reverse("flasks", args=[day.pk])).content.decode()
    assert 'class="drawing kiln-shelf"' in page and "Seen from above, to scale: 356\u202fmm wide" in page
    assert plan.file["proof"]["why"] in page and "has moved" not in page
