"""Lists as CSV, read back: waxes, charges, shelf; the roster stands with its class."""

import csv
import io

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from casting.models import Alloy, SafetyRecord
from casting.services.waxes import withdraw
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.factories import StudentFactory

HOSTILE = '=HYPERLINK("http://example.invalid";"Sunniva")'


def read(client, name, *args):
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200 and answer["Content-Type"].startswith("text/csv")
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))


def test_the_waxes_of_a_day_withdrawn_ones_too(day, student, teacher_client):
    handed_in(day, student, what="@band, wide")
    gone = handed_in(day, StudentFactory(course=day.course, called=HOSTILE))
    withdraw(gone, by=gone.student, version=1)
    first, second = sorted(read(teacher_client, "waxes_csv", day.pk), key=lambda row: row["Withdrawn"])
    assert (first["Student"], first["What it is"], first["Withdrawn"]) == (student.called, "'@band, wide", "no")
    assert (first["Wax [g]"], first["Width [mm]"]) == ("3.2000", "22.000")
    # The same figure as the page shows, to the hundredth.
    shown = teacher_client.get(reverse("waxes", args=[day.pk])).context["waxes"][0][1]
    assert float(first["Metal needed, no button [g]"]) == pytest.approx(shown.metal_g, abs=0.005)
    assert second["Student"] == "'" + HOSTILE and second["Withdrawn"] == "yes"
    assert second["Metal needed, no button [g]"] == ""


def test_the_charges_are_those_of_the_plan(day, student, teacher, teacher_client):
    wax = handed_in(day, student)
    plan = make_plan(day, by=teacher)
    (flask,) = plan.file["flasks"]
    (row,) = read(teacher_client, "charges_csv", day.pk)
    assert (row["Flask"], row["Tags"], row["State"]) == (flask["label"], wax.tag, "planned")
    assert float(row["Charge [g]"]) == flask["charge_g"] and int(row["Investment powder [g]"]) == flask["powder_g"]
    assert (row["Plan revision"], row["Plan is up to date"]) == ("1", "yes")
    withdraw(wax, by=student, version=1)
    assert read(teacher_client, "charges_csv", day.pk)[0]["Plan is up to date"] == "no"


def test_a_plan_that_is_stopped_gives_no_charges(day, student, teacher, teacher_client):
    handed_in(day, student)
    address = reverse("charges_csv", args=[day.pk])
    assert teacher_client.get(address).status_code == 404
    SafetyRecord.objects.update(first_aider=False)
    make_plan(day, by=teacher)
    answer = teacher_client.get(address, follow=True)
    assert answer.redirect_chain[0][0] == reverse("flasks", args=[day.pk])
    page = answer.content.decode()
    assert "A STOP stops this plan" in page and "Charges as CSV" not in page


def test_the_shelf_gives_each_figure_with_its_unit(day, teacher_client):
    Alloy.objects.filter(school=day.course.school, key="sterling").update(name=HOSTILE)
    rows = [row for row in read(teacher_client, "shelf_csv") if row["Name"] == "'" + HOSTILE]
    told = {row["Figure"]: (row["Value"], row["Unit"], row["Worked with"]) for row in rows}
    # 970 degrees is the pour of fixtures/shelf.json.
    assert ("970", "°C", "yes") in told.values()
    kinds = {row["Kind"] for row in read(teacher_client, "shelf_csv")}
    assert kinds == {"metal", "flask", "kiln", "firing", "investment", "wax material"}


def test_the_roster_of_a_class(course, student, teacher_client):
    StudentFactory(course=course, called=HOSTILE, spelled="Sunniva")
    rows = read(teacher_client, "roster_csv", course.pk)
    assert {row["Name"]: row["Name on the papers"] for row in rows} == {
        student.called: student.called,
        "'" + HOSTILE: "Sunniva",
    }


@pytest.mark.parametrize("where", ["waxes", "flasks", "metals", "equipment", "people"])
def test_each_list_is_linked_on_its_page(where, day, student, teacher, teacher_client):
    handed_in(day, student)
    make_plan(day, by=teacher)
    page = teacher_client.get(reverse(where, args=[day.pk] if where in ("waxes", "flasks") else [])).content.decode()
    name = {"waxes": "waxes_csv", "flasks": "charges_csv", "people": "roster_csv"}.get(where, "shelf_csv")
    args = {"waxes": [day.pk], "flasks": [day.pk], "people": [day.course_id]}.get(where, [])
    assert f'href="{reverse(name, args=args)}"' in page


def test_many_waxes_cost_no_more_queries_than_few(day, teacher_client):
    read(teacher_client, "waxes_csv", day.pk)  # the shelf is read once and kept
    counts = []
    for more in (1, 9):
        for _nth in range(more):
            handed_in(day)
        with CaptureQueriesContext(connection) as queries:
            read(teacher_client, "waxes_csv", day.pk)
        counts.append(len(queries))
    assert counts[0] == counts[1]
