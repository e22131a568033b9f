"""A roster is read row by row, looked at, and added whole or not at all."""

import pytest
from django.utils import timezone

from school.models import Student
from school.roster import MOST_BYTES, MOST_ROWS, State, Unreadable, add, decoded, looked_at, names_in
from tests.factories import CourseFactory, StudentFactory


@pytest.mark.parametrize(
    ("encoding", "word"),
    [("utf-8", "UTF-8"), ("utf-8-sig", "UTF-8"), ("utf-16", "UTF-16"), ("cp1252", "Windows-1252")],
)
def test_a_file_is_read_in_the_letters_it_was_written_in(encoding, word):
    assert decoded("Ana Martínez\nJosé Luis".encode(encoding)) == ("Ana Martínez\nJosé Luis", word)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"PK\x03\x04 a spreadsheet", "This is no text."),
        ("Ana".encode("utf-16-le"), "This is no text."),  # without the mark that says so
        (b"\xff\xfeA", "cannot be read"),  # half a letter
        (b"An\x81a", "cannot be read"),  # no sign of Windows-1252
        (b"a" * (MOST_BYTES + 1), "larger than 100 kB"),
    ],
)
def test_what_is_no_list_of_names_is_refused_with_what_to_do(data, said):
    with pytest.raises(Unreadable) as refusal:
        decoded(data)
    assert said in refusal.value.sentence


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("name,email\nAna M.,ana@x.example\nTobiah,", ["Ana M.", "Tobiah"]),
        ("email;Full name\nana@x.example;Ana M.", ["Ana M."]),
        ("First name\tLast name\nAna\tMartínez\nTobiah\t", ["Ana Martínez", "Tobiah"]),
        ("nombre;apellidos\nAna;Martínez Ruiz", ["Ana Martínez Ruiz"]),
        ("Ana M.,12\r\nTobiah,13\r\n", ["Ana M.", "Tobiah"]),
        ('"Okoro, Sunniva",1\n"Two\nlines",2', ["Okoro, Sunniva", "Two lines"]),
        ("\n\nAna M.\n\n", ["Ana M."]),
    ],
)
def test_a_file_says_which_column_has_the_names(text, names):
    assert [name for _number, name in names_in(text, from_file=True)] == names


def test_what_is_typed_is_one_name_a_line_and_keeps_its_commas_and_row():
    assert names_in('Okoro, Sunniva\r\n\r\n"Tobiah" Renn\n=1+1\tx') == [
        (1, "Okoro, Sunniva"),
        (3, '"Tobiah" Renn'),
        (4, "=1+1"),
    ]


@pytest.mark.parametrize("text", ["", " \n\t\n", "name\n", "name\n,,\n"])
def test_a_list_without_names_says_so(text):
    with pytest.raises(Unreadable, match="no names"):
        names_in(text, from_file=True)


def test_two_hundred_rows_are_read_and_no_more():
    names = "\n".join(f"Ana {nth}" for nth in range(MOST_ROWS))
    assert len(names_in(names)) == 200
    with pytest.raises(Unreadable, match="The list has 201 rows"):
        names_in(f"{names}\nTobiah")


def test_each_row_says_what_becomes_of_it(course):
    StudentFactory(course=course, called="Sunniva Okoro")
    StudentFactory(course=course, called="Gone", removed_at=timezone.now())
    StudentFactory(course=CourseFactory(school=course.school), called="Tobiah Renn")
    typed = ["sunniva okoro", "Tobiah Renn", "Sunniva", "tobiah renn", "\u200b", "a" * 81, "Gone", "山田", "=1+1"]
    rows = looked_at(course, list(enumerate(typed, start=1)))
    assert [(row.state, row.remark) for row in rows] == [
        (State.THERE, "is in the class already"),
        (State.NEW, ""),
        (State.NEW, "Sunniva Okoro is in the class already. The same person?"),
        (State.WRONG, "The same name as row 2. Tell the two apart by a number or a letter, or leave one out."),
        (State.WRONG, "Write a name that people can read."),
        (State.WRONG, "That name is longer than 80 letters; give a shorter one."),
        (State.NEW, ""),
        (State.NEW, "our papers cannot print 山, 田"),
        (State.NEW, ""),  # a formula is a text
    ]


def test_one_wrong_row_keeps_the_whole_list_out(course):
    add(course, [(1, "Ana"), (2, "ana")])
    assert not Student.objects.exists()
    rows = add(course, [(1, "Ana"), (2, "=1+1")])
    assert [row.state for row in rows] == [State.NEW, State.NEW]
    assert {one.called for one in Student.objects.here()} == {"Ana", "=1+1"}
    assert all(one.joined_at is None and one.school == course.school for one in Student.objects.all())
    add(course, [(1, "Ana"), (2, "Tobiah")])
    assert Student.objects.count() == 3
