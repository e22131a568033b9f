"""A school taken away and read in again: the same days, plans and shelf under other numbers, and nothing half."""

import datetime as dt
import io
import json
import zipfile
from decimal import Decimal as D

import pytest
from django.contrib.auth.hashers import is_password_usable
from django.db import IntegrityError, transaction

from casting.calc.values.errors import Refused
from casting.models import (
    AccountEntry,
    Alloy,
    BasePhoto,
    BoardStep,
    CastingDay,
    CautionCleared,
    DayChange,
    DefectPhoto,
    Flask,
    FlaskMishap,
    PaperPrinted,
    PieceDefect,
    Plan,
    Recast,
    RubberBase,
    SafetyRecord,
    StepRecord,
    Transfer,
    Wax,
    WaxChange,
    WaxHold,
    WaxPhoto,
)
from casting.papers.fingerprints import parts_of
from casting.presenters.opened_plan import OpenedPlan
from casting.selectors.account.balances import all_balances
from casting.selectors.account.flasks import planned_flask
from casting.selectors.day_file import day_values_of, is_outdated
from casting.selectors.takeaway import KINDS, SCHOOL_FILE, pack
from casting.services.account.corrections import correct
from casting.services.account.flasks import weigh_out
from casting.services.account.stock import bring_own
from casting.services.flasks import fix_flask, hold_wax
from casting.services.photos import keep_photo
from casting.services.prints import mark_printed
from casting.services.running.noting import note
from casting.services.running.readings import note_reading
from casting.services.safety import keep_record
from casting.services.shelf import change as change_thing
from casting.services.takeaway import read_school
from casting.services.waxes import withdraw
from school.models import Course, Invitation, School, Student
from school.students import merge
from school.team import accept
from tests.casting.account_days import all_zero, lot_of, metal, prices
from tests.casting.planned import make_plan
from tests.casting.services.test_prints import APage
from tests.casting_factories import handed_in
from tests.factories import PASSWORD, PersonFactory, StudentFactory
from tests.photos import with_place

AT = dt.datetime(2027, 3, 10, 19, 5, tzinfo=dt.UTC)


@pytest.fixture
def full(day, student, classmate, teacher, tmp_path):
    """A school with something in every list of the file, and another school beside it."""
    StudentFactory()  # of another school: numbers here and in the file differ
    handed_in(day, student)
    handed_in(day, student, second_alloy=day.alloys.get(key="si-bronze"), note="no polish inside")
    keep_photo(day.waxes.latest("pk"), with_place())
    own = handed_in(day, classmate, own_metal=True, what="signet ring")
    withdraw(handed_in(day, student, what="bail"), by=teacher, version=1)
    merge(teacher, StudentFactory(course=day.course).pk, student.pk)
    PersonFactory(school=teacher.school, name="Nadia Ferro", is_active=False)
    RubberBase.objects.create(school=teacher.school, number="3", weight_g="20.1500")
    change_thing(Alloy.objects.get(school=teacher.school, key="sterling"), {"pour_c": 985}, 1, teacher)
    hold_wax(own, "A", teacher)
    make_plan(day, teacher)
    fix_flask(day, "A", Flask.State.INVESTED, by=teacher)
    note_reading(day, day.plans.get().file["firings"][0]["kiln"], "120", by=teacher)
    keep_record(teacher.school, {"adults": 5}, by=teacher)
    DayChange.objects.create(day=day, by_person=teacher, before={"opens": None}, after={"opens": "09:00"})
    rough = PieceDefect.objects.create(wax=day.waxes.first(), kind="rough", where="thin", by=teacher)
    drawn = WaxPhoto.objects.values("sent_as", "jpeg", "small").get()
    DefectPhoto.objects.create(defect=rough, at=AT, **drawn)
    noted = note(day, "photo", "A", at=AT, by=teacher, figures={"tags": [own.tag], "photo": drawn["sent_as"]})
    BasePhoto.objects.create(step=noted, at=AT, **drawn)
    met = FlaskMishap.objects.create(day=day, label="A", kind="late", left="late_10", at=AT, by=teacher)
    Recast.objects.create(wax=day.waxes.first(), mishap=met, fate="again", at=AT, next_day=day, by=teacher)
    BoardStep.objects.create(day=day, plan=day.plans.get(), did="planned", kept={"flasks": ["A"]}, by=teacher, at=AT)
    CautionCleared.objects.create(day=day, caution="N-01", text="The flask is near the wall.", by="Imre", reason="seen")
    mark_printed(day, [APage("mix", 1, {"plan": "a"}, AT)], teacher)
    booked(day, classmate, teacher)
    return teacher.school


def booked(day, student, teacher):
    """Metal bought and weighed out, one weigh-out taken back: an entry that names one before it."""
    lot_of(teacher.school, teacher, price=D("340.50"), certificate="=2+5")
    prices(teacher.school, teacher)
    brought = bring_own(student, metal(teacher.school), D("60.1234"), by=teacher)
    own = brought.transfers.get().to_account
    out = weigh_out(day, "A", {own.pk: planned_flask(day, "A").charge_g}, by=teacher)
    correct(out, by=teacher, note="the wrong bag")


def taken(school):
    out = io.BytesIO()
    pack(school, out, AT)
    return out.getvalue()


def rows_of(data):
    return json.loads(zipfile.ZipFile(io.BytesIO(data)).read(SCHOOL_FILE))


@pytest.fixture
def there(full, tmp_path):
    """The school as it was read in from its own file."""
    path = tmp_path / "school.zip"
    path.write_bytes(taken(full))
    return read_school(path)


def test_every_list_of_the_file_has_a_row(full):
    assert [kind.heading for kind in KINDS if not rows_of(taken(full))[kind.heading]] == []


def test_the_same_rows_give_the_same_bytes(full):
    assert taken(full) == taken(full)


def test_what_comes_back_out_is_what_went_in(full, there):
    """But for what the other site does anew: a class code that is taken here, and who may sign in."""
    before, after = taken(full), taken(there.school)
    rows, rows_there = rows_of(before), rows_of(after)
    assert [one.pop("code") for one in rows["classes"]] != [one.pop("code") for one in rows_there["classes"]]
    assert [one.pop("is_active") for one in rows["people"]] == [True, False]
    assert [one.pop("is_active") for one in rows_there["people"]] == [False, False]
    assert rows == rows_there
    plans, plans_there = (zipfile.ZipFile(io.BytesIO(data)) for data in (before, after))
    assert plans.namelist() == plans_there.namelist() and len(plans.namelist()) == 6
    assert [plans.read(name) for name in plans.namelist()[1:]] == [
        plans_there.read(one) for one in plans.namelist()[1:]
    ]


def test_a_photo_is_the_same_there_with_its_small_one_and_says_no_more_than_here(full, there):
    was, now = (WaxPhoto.objects.get(wax__day__course__school=one) for one in (full, there.school))
    assert [bytes(was.jpeg), bytes(was.small), was.at] == [bytes(now.jpeg), bytes(now.small), now.at]
    assert b"Saltmarsh" not in bytes(now.jpeg) and now.wax.note == "no polish inside"
    for model, to_school in ((DefectPhoto, "defect__wax__day"), (BasePhoto, "step__day")):
        was, now = (model.objects.get(**{f"{to_school}__course__school": one}) for one in (full, there.school))
        assert [bytes(was.jpeg), bytes(was.small), was.at] == [bytes(now.jpeg), bytes(now.small), now.at]
    assert now.step.figures["photo"] == now.sent_as and now.step.by.name == "Imre Valdane"


@pytest.mark.parametrize(
    ("put_there", "why"), [(with_place(), "not_plain"), (b"no picture", "no_picture"), (b"", "empty")]
)
def test_a_photo_that_this_program_would_not_write_is_refused(full, tmp_path, put_there, why):
    source = zipfile.ZipFile(io.BytesIO(taken(full)))
    path = tmp_path / "school.zip"
    with zipfile.ZipFile(path, "w") as archive:
        for name in source.namelist():
            archive.writestr(name, put_there if name == "photos/1.jpg" else source.read(name))
    before = counts()
    with pytest.raises(Refused, match=rf"photos/1\.jpg: this is no photo as it is written here \({why}\)"):
        read_school(path)
    assert counts() == before


def renumbered(text, there):
    """A day's text with the students of the school that was taken away under their numbers in the other one."""
    numbers = {one.called: one.pk for one in Student.objects.filter(school=there)}
    for one in Student.objects.exclude(school=there).filter(called__in=numbers):
        text = text.replace(f'"student-{one.pk}"', f'"student-of-{one.called}"')
    for called, number in numbers.items():
        text = text.replace(f'"student-of-{called}"', f'"student-{number}"')
    return text


def test_a_day_is_planned_and_printed_as_before(full, there):
    day = CastingDay.objects.get(course__school=full)
    copy = CastingDay.objects.get(course__school=there.school)
    plan, plan_copy = Plan.objects.latest_of(day), Plan.objects.latest_of(copy)
    assert "student-" in plan.plan_file, "the wax of somebody's own metal names them"
    assert plan_copy.plan_file == renumbered(plan.plan_file, there.school) != plan.plan_file
    assert plan_copy.day_file == renumbered(plan.day_file, there.school) != plan.day_file
    assert (plan_copy.made_at, plan_copy.made_by.name) == (plan.made_at, "Imre Valdane")
    values, values_copy = (json.dumps(day_values_of(one), ensure_ascii=False) for one in (day, copy))
    assert values_copy == renumbered(values, there.school)
    assert is_outdated(plan) is is_outdated(plan_copy) is False
    assert (copy.states(), copy.pour_at) == (day.states(), day.pour_at) and "invested" in copy.states().values()


def test_the_account_is_the_same_there(full, there):
    """Every balance, by what the account is; the sums are zero in both, and the guards hold there as they do here."""

    def told(school):
        return sorted((one.kind, one.melts or 0, balance) for one, balance in all_balances(school).items())

    assert told(full) == told(there.school) and ("own", 0, D("60.1234")) in told(full)
    assert all_zero(full) and all_zero(there.school)
    corrected, theirs = AccountEntry.objects.filter(corrects__isnull=False).order_by("pk")
    assert theirs.corrects.school == there.school != corrected.corrects.school
    with pytest.raises(IntegrityError), transaction.atomic():
        Transfer.objects.filter(entry__school=there.school).update(amount=D(1))


def test_a_student_who_became_a_later_one_is_read_in(full, day, teacher, tmp_path):
    earlier, later = (StudentFactory(course=day.course) for _nth in range(2))
    merge(teacher, earlier.pk, later.pk)
    path = tmp_path / "merged.zip"
    path.write_bytes(taken(full))
    there = read_school(path)
    assert Student.objects.get(school=there.school, called=earlier.called).merged_into.called == later.called


def test_rows_keep_their_moments_and_who_wrote_them(full, there):
    was, now = (Wax.objects.filter(day__course__school=one).order_by("tag") for one in (full, there.school))
    columns = ("tag", "what", "key", "wax_g", "version", "handed_in_at", "withdrawn_at", "student__called")
    assert list(was.values_list(*columns)) == list(now.values_list(*columns))
    changes = ("at", "before", "after", "by_student__called", "by_person__name")
    told = [WaxChange.objects.filter(wax__in=waxes).values_list(*changes) for waxes in (was, now)]
    assert list(told[0]) == list(told[1]) and len(told[0]) == 6
    assert not {one.pk for one in was} & {one.pk for one in now}
    merged = Student.objects.get(school=there.school, merged_into__isnull=False)
    assert merged.merged_into.called == "Sunniva Okoro" and merged.merged_into.school == there.school


def test_everybody_comes_in_by_something_new(full, there, student):
    """Nothing that opened the first site opens the second, and a link leads back to what somebody wrote."""
    assert not any(is_password_usable(one.return_hash) for one in Student.objects.filter(school=there.school))
    ((person, _token),) = there.invited
    assert not person.is_active and not person.has_usable_password() and person.name == "Imre Valdane"
    invitation = Invitation.objects.get(person=person)
    back = accept(invitation, name=person.name, sign_in="imre-2", password=PASSWORD)
    assert back.pk == person.pk and back.is_active and back.check_password(PASSWORD)
    assert Plan.objects.filter(made_by=back).exists() and not Invitation.objects.exists()


def test_a_free_class_code_stays_and_a_taken_one_is_said(full, tmp_path):
    path = tmp_path / "school.zip"
    path.write_bytes(taken(full))
    code = Course.objects.get(school=full).code
    ((course, before),) = read_school(path).recoded
    assert before == code != course.code
    Course.objects.filter(school=full).update(code="ZZZZZZ")
    assert read_school(path).recoded == []


def test_a_school_is_read_into_an_empty_installation(full, tmp_path):
    path = tmp_path / "school.zip"
    path.write_bytes(taken(full))
    slug = full.slug
    School.objects.all().delete()
    read = read_school(path)
    assert School.objects.get() == read.school and not read.school.is_demo and read.school.slug != slug
    assert (CastingDay.objects.count(), Plan.objects.count(), SafetyRecord.objects.count()) == (1, 1, 1)
    assert (WaxHold.objects.count(), StepRecord.objects.count(), PaperPrinted.objects.count()) == (1, 2, 1)


def fingerprints():
    day = CastingDay.objects.select_related("course__school").get()
    return parts_of(day, OpenedPlan(Plan.objects.latest_of(day), on_paper=True), "https://bench.example")


def test_papers_printed_before_are_no_older_on_another_installation(full, tmp_path):
    path = tmp_path / "school.zip"
    path.write_bytes(taken(full))
    before = fingerprints()
    School.objects.all().delete()
    read_school(path)
    assert fingerprints() == before


def counts():
    return [model._default_manager.count() for model in (School, *(kind.model for kind in KINDS))]


def spoil(rows, heading, **changed):
    rows[heading][0] |= changed


def forget_column(rows):
    del rows["waxes"][0]["what"]


SPOILED = {
    r"waxes\[0\]\.what: nothing stands here, but it is required": forget_column,
    r"waxes\[0\]\.wax_g: 3\.2 stands here, but it must be a number in quotes": lambda r: spoil(r, "waxes", wax_g=3.2),
    r"waxes\[0\]\.student: 99 stands here, but no row of the file has this id": lambda r: spoil(r, "waxes", student=99),
    r"waxes\[0\]\.secret: \"secret\" stands here": lambda r: spoil(r, "waxes", secret=1),
    r"days\[0\]\.alloys\[0\]: 99 stands here": lambda r: spoil(r, "days", alloys=[99]),
    r"students\[0\]\.merged_into: 99 stands here": lambda r: spoil(r, "students", merged_into=99),
    r"alloys\[0\]\.pour_c: ": lambda r: spoil(r, "alloys", pour_c=-3),
    r"flask_sizes\[0\]\.diameter_mm: ": lambda r: spoil(r, "flask_sizes", diameter_mm=-3),
    r"school\.zone: Mars is not a time zone": lambda r: r["school"].update(zone="Mars"),
    r"school\.slug: ": lambda r: r["school"].update(slug="mine"),
    r"classes\[0\]: this row breaks a rule of the database": lambda r: spoil(r, "classes", code="ilou"),
    r"waxes\[1\]: this row breaks a rule of the database": lambda r: r["waxes"][1].update(tag=r["waxes"][0]["tag"]),
    r"plans: student-1 stands in a plan, but the file has no such student": lambda r: (
        r["students"].clear(),
        r["waxes"].clear(),
        r["wax_changes"].clear(),
        r["wax_photos"].clear(),
        r["wax_holds"].clear(),
    ),
}


@pytest.mark.parametrize("sentence", SPOILED)
def test_a_wrong_row_is_refused_and_nothing_is_written(full, tmp_path, sentence):
    source = zipfile.ZipFile(io.BytesIO(taken(full)))
    rows = json.loads(source.read(SCHOOL_FILE))
    SPOILED[sentence](rows)
    path = tmp_path / "school.zip"
    with zipfile.ZipFile(path, "w") as archive:
        for name in source.namelist():
            if name.startswith("photos/") and not rows["wax_photos"]:
                continue
            archive.writestr(name, json.dumps(rows) if name == SCHOOL_FILE else source.read(name))
    before = counts()
    with pytest.raises(Refused, match=sentence):
        read_school(path)
    assert counts() == before and not Invitation.objects.exists()


def test_a_plan_that_is_broken_leaves_nothing_behind(full, tmp_path):
    source = zipfile.ZipFile(io.BytesIO(taken(full)))
    path = tmp_path / "school.zip"
    with zipfile.ZipFile(path, "w") as archive:
        for name in source.namelist():
            archive.writestr(name, source.read(name)[:-9] if name == "plans/1.plan.json" else source.read(name))
    before = counts()
    with pytest.raises(Refused, match=r"plans/1\.plan\.json: line \d+, column \d+ stops being JSON"):
        read_school(path)
    assert counts() == before
