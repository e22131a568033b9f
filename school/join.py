"""How students join a class and come back to it: class codes, return codes and the QR code of the poster."""

from __future__ import annotations

import datetime as dt
import io
import secrets
import uuid

import segno
from django.contrib.auth.hashers import ScryptPasswordHasher, check_password, is_password_usable, make_password
from django.db import IntegrityError, transaction
from django.utils import timezone

from school.models import Course, Person, School, Student

# Crockford's base 32: no I, L, O or U, so that a code survives handwriting.
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LOOKALIKES = str.maketrans({"O": "0", "I": "1", "L": "1", "U": "V"})
CLASS_CODE_LENGTH = 6
RETURN_CODE_LENGTH = 8
RETRY_WINDOW = dt.timedelta(minutes=15)
UNDO_CODE_FOR = dt.timedelta(minutes=10)


class ReturnCodeHasher(ScryptPasswordHasher):
    """A cheaper hash than a password's, enough for 40 random bits: a class joins within a minute on two cores."""

    algorithm = "scrypt_return_code"
    parallelism = 1


def random_code(length: int) -> str:
    """Return a random code of that length."""
    return "".join(secrets.choice(ALPHABET) for _ in range(length))


def read_code(typed: str) -> str:
    """Return a typed code as it is stored: in capitals, without gaps, with digits for letters that look like them."""
    return "".join(letter for letter in typed.upper() if letter.isalnum()).translate(LOOKALIKES)


def show_code(code: str) -> str:
    """Return the code as people read it: ABCD-EFGH."""
    half = len(code) // 2
    return f"{code[:half]}-{code[half:]}"


def open_course(school: School, name: str, open_until: dt.datetime) -> Course:
    """Make a class, under a code that no other class has."""
    while True:
        try:
            with transaction.atomic():
                return Course.objects.create(
                    school=school, name=name, code=random_code(CLASS_CODE_LENGTH), open_until=open_until
                )
        except IntegrityError:
            if Course.objects.filter(school=school, name=name).exists():
                raise


def find_course(typed: str, moment: dt.datetime) -> Course | None:
    """Return the class of this code if it is still open."""
    return Course.objects.open_on(moment).select_related("school").filter(code=read_code(typed)).first()


def join(course: Course, called: str, key: uuid.UUID | None = None, spelled: str = "") -> tuple[Student, str]:
    """Make a student and return them with their return code, which is kept nowhere.

    `spelled` is the name in letters that papers print. The same form sent again, because its answer got lost, gives
    the same student and a new code.
    """
    code = random_code(RETURN_CODE_LENGTH)
    with transaction.atomic():
        student, created = Student.objects.get_or_create(
            course=course,
            school=course.school,
            join_key=key or uuid.uuid4(),
            defaults={"called": called, "spelled": spelled, "return_hash": hash_code(code)},
        )
        if not created:
            if student.called != called or student.created < timezone.now() - RETRY_WINDOW:
                # Somebody else used a page left open: they must not get the first student's waxes.
                return join(course, called, spelled=spelled)
            student.return_hash, student.spelled = hash_code(code), spelled
            student.save(update_fields=["return_hash", "spelled"])
    return student, code


def spell(student: Student, spelled: str) -> None:
    """Write how a student's name is spelled for the papers; nothing if it is not."""
    student.spelled = spelled
    student.save(update_fields=["spelled"])


def reissue(person: Person, student_id: int) -> tuple[Student, str]:
    """Give a student of the teacher a new return code; the old one stops working.

    Its sessions last until it can no longer be put back. A name on the roster counts as joined from now on.
    """
    with transaction.atomic():
        # Whoever was forgotten is nobody's to be again.
        known = Student.objects.of(person).here().filter(forgotten_at__isnull=True)
        student = known.select_for_update().get(pk=student_id)
        now = timezone.now()
        if not student.new_code_can_be_undone and is_password_usable(student.return_hash):
            student.old_hash, student.old_hash_until = student.return_hash, now + UNDO_CODE_FOR
        code = random_code(RETURN_CODE_LENGTH)
        student.return_hash, student.joined_at = hash_code(code), student.joined_at or now
        student.save(update_fields=["return_hash", "old_hash", "old_hash_until", "joined_at"])
    return student, code


def renew(student: Student) -> str:
    """Give a student a new return code on their own phone; the old one, and their other phones, stop working."""
    code = random_code(RETURN_CODE_LENGTH)
    student.return_hash, student.old_hash, student.old_hash_until = hash_code(code), "", None
    student.save(update_fields=["return_hash", "old_hash", "old_hash_until"])
    return code


def fits(student: Student, code: str) -> bool:
    """Tell whether a return code is the student's as it is now."""
    return check_password(code, student.return_hash)


def undo_reissue(person: Person, student_id: int) -> bool:
    """Put a student's return code of a few minutes ago back, and tell whether that was still possible."""
    with transaction.atomic():
        student = Student.objects.of(person).here().select_for_update().get(pk=student_id)
        if not student.new_code_can_be_undone:
            return False
        student.return_hash, student.old_hash, student.old_hash_until = student.old_hash, "", None
        student.save(update_fields=["return_hash", "old_hash", "old_hash_until"])
    return True


def close_course(course: Course) -> None:
    """Let nobody new join a class from now on."""
    open_course_until(course, timezone.now())


def open_course_until(course: Course, until: dt.datetime) -> None:
    """Let students join a class until then."""
    course.open_until = until
    course.save(update_fields=["open_until"])


def stands_for(student: Student) -> Student | None:
    """Return who a student is now: whom they were merged into, or nobody if they were removed."""
    now = student.became
    return None if now.removed_at is not None else now


def find_student(class_code: str, called: str, return_code: str) -> Student | None:
    """Return the student of that class, name and return code.

    A class that is closed to new students still lets its students sign in. The codes tell two students of one name
    apart. A name that nobody has takes as long to refuse as a name that somebody has.
    """
    typed = read_code(return_code)
    same_name = [
        student
        for student in Student.objects.select_related("school").filter(course__code=read_code(class_code))
        if student.called.casefold() == called.casefold()
    ]
    for student in same_name:
        if check_password(typed, student.return_hash):
            return stands_for(student)
    if not same_name:
        hash_code(typed)
    return None


def hash_code(code: str) -> str:
    """Return the hash under which a return code is kept."""
    return make_password(code, hasher=ReturnCodeHasher.algorithm)


def qr_svg(address: str) -> str:
    """Return a QR code of the address as inline SVG, in the page's ink."""
    out = io.BytesIO()
    segno.make(address, error="m", micro=False).save(
        out, kind="svg", xmldecl=False, svgclass="qr", lineclass=None, omitsize=True, dark="#42181e", border=4
    )
    return out.getvalue().decode()
