"""Class codes and return codes: how a student joins and comes back."""

import datetime as dt
import re
import uuid

import pytest
from django.contrib.auth.hashers import make_password
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from school.join import (
    ALPHABET,
    close_course,
    find_course,
    find_student,
    join,
    open_course,
    open_course_until,
    read_code,
    reissue,
    show_code,
    spell,
    stands_for,
    undo_reissue,
)
from school.models import FailedAttempt, Student
from tests.factories import CourseFactory, StudentFactory

CODE_ON_PAGE = re.compile(r'class="code">([0-9A-Z]{4}-[0-9A-Z]{4})<')


def join_address(course):
    return reverse("join_class", args=[course.code])


def joins(course, called, key=""):
    """Return a browser that has joined, and the page it got."""
    client = Client()
    return client, client.post(join_address(course), {"called": called, "key": key})


def test_a_code_has_no_letter_that_handwriting_turns_into_another():
    # Crockford's base 32 leaves out I, L, O and U: https://www.crockford.com/base32.html
    assert len(set(ALPHABET)) == 32
    assert not set(ALPHABET) & set("ILOU")


def test_a_code_is_read_however_it_is_copied():
    assert read_code(" ab0o-1il9 ") == "AB001119"
    assert show_code("AB001119") == "AB00-1119"


def test_a_class_gets_a_code_of_six(school):
    course = open_course(school, "Casting one", CourseFactory.build(school=school).open_until)
    assert re.fullmatch(f"[{ALPHABET}]{{6}}", course.code)


def test_a_student_joins_and_sees_a_return_code_and_again_on_a_reload(course):
    client, page = joins(course, "Sunniva Okoro")
    assert page.status_code == 200
    code = CODE_ON_PAGE.search(page.content.decode()).group(1)
    assert re.fullmatch(f"[{ALPHABET}]{{4}}-[{ALPHABET}]{{4}}", code)
    again = client.get(join_address(course))
    assert again.url == reverse("return_code")
    assert code in client.get(again.url).content.decode()


def test_a_return_code_is_kept_only_as_its_hash(course):
    student, code = join(course, "Sunniva Okoro")
    row = Student.objects.filter(pk=student.pk).values().get()
    assert code not in str(row)
    assert row["return_hash"].startswith("scrypt_return_code$")


def test_a_page_with_a_return_code_is_not_kept_by_the_browser(course):
    _client, page = joins(course, "Sunniva Okoro")
    assert "no-store" in page["Cache-Control"]


def test_the_same_form_sent_twice_is_one_student(course):
    key = str(uuid.uuid4())
    joins(course, "Sunniva Okoro", key)
    _client, page = joins(course, "Sunniva Okoro", key)
    code = CODE_ON_PAGE.search(page.content.decode()).group(1)
    student = Student.objects.get(course=course)
    assert find_student(course.code, "Sunniva Okoro", code) == student


def test_another_name_on_the_same_form_is_another_student(course):
    key = str(uuid.uuid4())
    joins(course, "Sunniva Okoro", key)
    joins(course, "Tobiah Renn", key)
    assert Student.objects.filter(course=course).count() == 2


def test_a_student_comes_back_with_class_name_and_code(course):
    student, code = join(course, "Sunniva Okoro")
    typed = {"code": course.code.lower(), "called": "sunniva okoro", "return_code": show_code(code).lower()}
    client = Client()
    assert client.post(reverse("came_back"), typed).url == reverse("my_waxes")
    assert client.session["student"] == student.pk


def test_of_two_with_one_name_each_comes_back_as_herself(course):
    first, first_code = join(course, "Ana")
    second, second_code = join(course, "Ana")
    assert find_student(course.code, "Ana", first_code) == first
    assert find_student(course.code, "Ana", second_code) == second


def test_a_known_and_an_unknown_name_get_the_same_answer(course):
    join(course, "Sunniva Okoro")
    pages = [
        Client().post(reverse("came_back"), {"code": course.code, "called": called, "return_code": "00000000"})
        for called in ("Sunniva Okoro", "Nobody Here")
    ]
    assert [page.status_code for page in pages] == [422, 422]
    told = [str(page.context["form"].non_field_errors()) for page in pages]
    assert told[0] == told[1]


def test_wrong_return_codes_are_limited_for_that_name_and_no_other(course):
    _student, code = join(course, "Sunniva Okoro")
    _other, other_code = join(course, "Tobiah Renn")
    typed = {"code": course.code, "called": "Sunniva Okoro", "return_code": "00000000"}
    for _try in range(10):
        assert Client().post(reverse("came_back"), typed).status_code == 422
    assert Client().post(reverse("came_back"), typed).status_code == 429
    assert Client().post(reverse("came_back"), typed | {"return_code": code}).status_code == 429
    neighbour = {"code": course.code, "called": "Tobiah Renn", "return_code": other_code}
    assert Client().post(reverse("came_back"), neighbour).status_code == 302


def test_wrong_class_codes_are_limited(course):
    for _try in range(10):
        assert Client().post(reverse("join"), {"code": "ZZZZZZ"}).status_code == 422
    assert Client().post(reverse("join"), {"code": "ZZZZZZ"}).status_code == 429


def test_wrong_class_codes_in_the_address_count_too(course):
    for _try in range(10):
        assert Client().get(reverse("join_class", args=["ZZZZZZ"])).status_code == 404
    assert Client().get(reverse("join_class", args=["ZZZZZZ"])).url == reverse("join")


def test_sixty_students_behind_one_address_join_unhindered(course):
    for number in range(60):
        _client, page = joins(course, f"Student {number}")
        assert page.status_code == 200
    assert Student.objects.filter(course=course).count() == 60
    assert set(FailedAttempt.objects.values_list("entry_point", flat=True)) == {"new name"}


def test_new_names_from_one_address_are_limited_in_a_class_and_roster_names_are_not(course, monkeypatch):
    monkeypatch.setattr("school.views.doors.MAX_NEW_NAMES", 3)
    on_roster = StudentFactory(course=course, called="Ana Reyes", joined_at=None)
    assert [joins(course, f"Student {nth}")[1].status_code for nth in range(5)] == [200, 200, 200, 429, 429]
    _client, page = joins(course, "Tobiah Renn")
    assert "Too many new names from here." in page.content.decode() and 'value="Tobiah Renn"' in page.content.decode()
    assert Student.objects.filter(course=course).exclude(pk=on_roster.pk).count() == 3
    assert joins(course, "Ana Reyes")[1].status_code == 200
    assert joins(CourseFactory(school=course.school), "Tobiah Renn")[1].status_code == 200  # another code
    FailedAttempt.objects.update(at=timezone.now() - dt.timedelta(minutes=11))
    assert joins(course, "Tobiah Renn")[1].status_code == 200


def test_the_same_form_sent_again_is_one_new_name(course):
    key = str(uuid.uuid4())
    for _time in range(3):
        Client().post(reverse("join_class", args=[course.code]), {"called": "Ana Reyes", "key": key})
    assert FailedAttempt.objects.filter(entry_point="new name").count() == 1


def test_nobody_joins_a_class_that_is_over(course, student):
    course.open_until = course.created
    course.save()
    _client, page = joins(course, "Late Comer")
    assert page.status_code == 404
    assert list(course.students.all()) == [student]


def test_a_new_code_from_the_teacher_voids_the_old_one_at_once_and_its_phones_after_a_while(course, teacher):
    client, page = joins(course, "Sunniva Okoro")
    old = CODE_ON_PAGE.search(page.content.decode()).group(1)
    student, new = reissue(teacher, Student.objects.get().pk)
    assert find_student(course.code, "Sunniva Okoro", old) is None
    assert find_student(course.code, "Sunniva Okoro", new) == student
    assert client.get(reverse("home")).url == reverse("my_waxes")
    Student.objects.update(old_hash_until=timezone.now())
    assert client.get(reverse("home")).status_code == 200


def test_a_new_code_is_taken_back_within_minutes_and_not_later(course, teacher):
    client, page = joins(course, "Sunniva Okoro")
    old = CODE_ON_PAGE.search(page.content.decode()).group(1)
    student = Student.objects.get()
    codes = [reissue(teacher, student.pk)[1] for _press in range(2)]
    assert undo_reissue(teacher, student.pk) and not undo_reissue(teacher, student.pk)
    assert find_student(course.code, "Sunniva Okoro", old) == student
    assert [find_student(course.code, "Sunniva Okoro", code) for code in codes] == [None, None]
    assert client.get(reverse("home")).url == reverse("my_waxes")
    reissue(teacher, student.pk)
    Student.objects.update(old_hash_until=timezone.now())
    assert not undo_reissue(teacher, student.pk)


def test_a_code_for_a_name_on_the_roster_has_none_to_go_back_to_and_counts_as_joined(course, teacher):
    listed = StudentFactory(course=course, joined_at=None, return_hash=make_password(None))
    student, code = reissue(teacher, listed.pk)
    assert student.joined_at and not student.new_code_can_be_undone
    assert find_student(course.code, listed.called, code) == listed


def test_a_merged_student_stands_for_the_other_and_a_removed_one_for_nobody(course):
    first, second, third = (StudentFactory(course=course) for _student in range(3))
    assert stands_for(first) == first
    for gone, into in ((first, second), (second, third)):
        gone.removed_at, gone.merged_into = timezone.now(), into
        gone.save()
    assert stands_for(first) == third
    third.removed_at = timezone.now()
    third.save()
    assert stands_for(first) is None


def test_a_class_is_closed_and_opened_again(course):
    close_course(course)
    assert find_course(course.code, timezone.now()) is None
    open_course_until(course, timezone.now() + dt.timedelta(days=1))
    assert find_course(course.code, timezone.now()) == course


@pytest.mark.parametrize("name", ["", "   ", "\u200b", "\u202e", "\u0301", "a" * 81])
def test_a_name_nobody_can_read_is_refused(course, name):
    client, page = joins(course, name)
    assert page.status_code == 422
    assert not Student.objects.exists()
    assert "student" not in client.session


def test_a_student_belongs_to_the_school_of_the_class(course):
    student = StudentFactory(course=course)
    assert student.school_id == course.school_id


def test_a_name_that_papers_cannot_print_is_asked_for_in_other_letters_before_anything_is_written(course):
    client, page = joins(course, "山田 花子")
    body = page.content.decode()
    assert page.status_code == 200 and not Student.objects.exists()
    assert "Our papers cannot print 山, 田, 花, 子." in body and 'value="山田 花子"' in body
    assert "How do you spell it in letters that our papers print?" in body
    answered = {"called": "山田 花子", "spelled": "Yamada Hanako"}
    assert CODE_ON_PAGE.search(client.post(join_address(course), answered).content.decode())
    student = Student.objects.get()
    assert (student.called, student.spelled) == ("山田 花子", "Yamada Hanako")


@pytest.mark.parametrize("called", ["はなこ", "ハナコ", "김하나"])
def test_the_spelling_may_stay_empty(course, called):
    client, page = joins(course, called)
    assert "our papers print?" in page.content.decode()
    assert client.post(join_address(course), {"called": called, "spelled": ""}).status_code == 200
    assert (Student.objects.get().called, Student.objects.get().spelled) == (called, "")


@pytest.mark.parametrize("called", ["José", "Łukasz", "Ελένη", "עדה בן־חיים", "Ada 💍"])
def test_a_name_that_prints_joins_without_another_question(course, called):
    client = Client()
    assert "our papers print?" not in client.get(join_address(course)).content.decode()
    page = client.post(join_address(course), {"called": called})
    assert CODE_ON_PAGE.search(page.content.decode())
    assert (Student.objects.get().called, Student.objects.get().spelled) == (called, "")


def test_a_spelling_that_papers_cannot_print_either_is_refused_and_kept_on_the_page(course):
    page = Client().post(join_address(course), {"called": "山田 花子", "spelled": "Hanako 花"})
    body = page.content.decode()
    assert page.status_code == 422 and not Student.objects.exists()
    assert body.count("You wrote “Hanako 花”, but our papers cannot print 花.") == 2 and 'value="Hanako 花"' in body


def test_the_same_form_sent_again_keeps_the_last_spelling(course):
    key = str(uuid.uuid4())
    for spelled in ("Hanako", "Yamada Hanako"):
        Client().post(join_address(course), {"called": "山田 花子", "spelled": spelled, "key": key})
    assert Student.objects.get().spelled == "Yamada Hanako"


def test_a_student_comes_back_with_the_name_as_written(course):
    student, code = join(course, "山田 花子", spelled="Yamada Hanako")
    assert find_student(course.code, "山田 花子", code) == student


def test_a_spelling_is_written_and_taken_back(student):
    for spelled in ("Yamada Hanako", ""):
        spell(student, spelled)
        assert Student.objects.get().spelled == spelled
