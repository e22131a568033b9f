"""A photo of a finished base: once, with who and when and its waxes, and gone with the student of one of them."""

import datetime as dt
import json

import pytest
from django.utils import timezone

from casting.models import BasePhoto, BenchChange, Plan
from casting.models.errors import NotPlanned
from casting.selectors.flasks import flask_contents, noted_on
from casting.services import photos
from casting.services.photos import forget_photos
from casting.services.running.base_photos import keep_base_photo, remove_base_photo
from casting.worker.photo import Photo
from school.models import Role
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.factories import PersonFactory
from tests.photos import drawn_by_nobody


def test_whoever_sends_it_however_often_there_is_one_with_who_when_and_its_waxes(planned, teacher, monkeypatch):
    drawn, now = drawn_by_nobody(monkeypatch), timezone.now()
    helper = PersonFactory(school=teacher.school, role=Role.HELPER, name="Nadia Ferro")
    for by, data in ((helper, b"one"), (teacher, b"one"), (helper, b"one")):
        keep_base_photo(planned, "A", data, by=by, at=now)
    noted = noted_on(planned)["photo", "A"]
    tags = flask_contents(Plan.objects.latest_of(planned))["A"]
    assert (noted.by, noted.at, set(noted.figures["tags"])) == (helper.name, now, tags)
    assert drawn == [b"one"] and BenchChange.objects.filter(do="photo").count() == 1
    keep_base_photo(planned, "A", b"late", by=teacher, at=now - dt.timedelta(minutes=9))
    keep_base_photo(planned, "A", b"newer", by=teacher, at=now + dt.timedelta(seconds=1))
    assert bytes(BasePhoto.objects.get().jpeg) == b"large newer" and drawn == [b"one", b"newer"]
    assert noted_on(planned)["photo", "A"].by == teacher.name
    for _nth in range(2):
        remove_base_photo(planned, "A", by=teacher)
    assert not BasePhoto.objects.exists() and not planned.steps_done.filter(do="photo").exists()
    assert BenchChange.objects.filter(do="photo", after__isnull=True).count() == 1


def test_two_helpers_who_send_it_at_the_same_time_keep_one(planned, teacher, monkeypatch):
    others = [PersonFactory(school=teacher.school, role=Role.HELPER, name="Nadia Ferro")]

    def meanwhile(data):
        if others:
            keep_base_photo(planned, "A", data, by=others.pop())
        return Photo(b"large", b"small")

    monkeypatch.setattr(photos, "clean_apart", meanwhile)
    keep_base_photo(planned, "A", b"one", by=teacher)
    assert BasePhoto.objects.count() == BenchChange.objects.filter(do="photo").count() == 1
    assert noted_on(planned)["photo", "A"].by != teacher.name


def test_one_that_waited_for_the_network_shows_the_waxes_that_its_flask_had_then(planned, teacher, monkeypatch):
    drawn_by_nobody(monkeypatch)
    plan = Plan.objects.latest_of(planned)
    taken, later = plan.made_at + dt.timedelta(minutes=1), plan.made_at + dt.timedelta(minutes=5)
    values = json.loads(plan.plan_file)
    values["flasks"][0]["waxes"] = values["flasks"][0]["waxes"][:1]
    again = Plan.objects.create(day=planned, revision=plan.revision + 1, day_file=plan.day_file, plan_file="{}")
    Plan.objects.filter(pk=again.pk).update(plan_file=json.dumps(values), made_at=later)
    keep_base_photo(planned, "A", b"one", by=teacher, at=taken)
    assert set(noted_on(planned)["photo", "A"].figures["tags"]) == flask_contents(plan)["A"]
    keep_base_photo(planned, "A", b"two", by=teacher, at=later)
    assert noted_on(planned)["photo", "A"].figures["tags"] == [values["flasks"][0]["waxes"][0]["key"]]
    with pytest.raises(NotPlanned, match="has no flask Q"):
        keep_base_photo(planned, "Q", b"one", by=teacher)


def test_it_goes_with_the_student_of_one_of_its_waxes_and_no_other(planned, student, classmate, teacher, monkeypatch):
    drawn_by_nobody(monkeypatch)
    handed_in(planned, classmate, alloy=planned.alloys.get(key="si-bronze"))
    make_plan(planned, by=teacher)
    for label in ("A", "B"):
        keep_base_photo(planned, label, b"one", by=teacher)
    home = flask_contents(Plan.objects.latest_of(planned))
    (gone,) = (label for label, tags in home.items() if planned.waxes.get(student=classmate).tag in tags)
    assert forget_photos(classmate) == 1
    assert BasePhoto.objects.get().step.what != gone
