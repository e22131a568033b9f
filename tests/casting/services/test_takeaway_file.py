"""A take-away file that is damaged, too large, of another version or not whole is refused in a sentence, unread."""

import json
import zipfile

import pytest

from casting.calc.values.errors import Refused
from casting.selectors.takeaway import SCHOOL_FILE, pack, plan_names
from casting.services import takeaway_file
from casting.services.takeaway_file import SchoolFile, numbered
from tests.casting.planned import make_plan
from tests.casting.services.test_takeaway import AT
from tests.casting_factories import handed_in

DAY_FILE, PLAN_FILE = plan_names(1).values()


@pytest.fixture
def entries(day, student, teacher, tmp_path):
    """The files inside a take-away file by name, to be spoiled."""
    handed_in(day, student)
    make_plan(day, teacher)
    path = tmp_path / "whole.zip"
    with path.open("wb") as out:
        pack(teacher.school, out, AT)
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@pytest.fixture
def opened(tmp_path):
    def of(entries):
        path = tmp_path / "school.zip"
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, data in entries.items():
                archive.writestr(name, data)
        return SchoolFile.open(path)

    return of


def with_json(entries, name=SCHOOL_FILE, **changed):
    values = json.loads(entries[name]) | changed
    return entries | {name: json.dumps({key: value for key, value in values.items() if value is not ...}).encode()}


def refusal_of(opened, entries):
    with pytest.raises(Refused) as refused:
        opened(entries).plan_texts(1)
    return str(refused.value)


def test_a_whole_file_is_opened_and_its_plan_read(entries, opened):
    file = opened(entries)
    assert file.school["name"] == "Tidewater Bench School" and len(file.rows["waxes"]) == 1
    texts = {column: entries[name].decode() for column, name in plan_names(1).items()}
    assert file.plan_texts(1) == texts


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"format": "casting-school/2"}, 'format: "casting-school/2" stands here, but this program reads casting-'),
        ({"format": ...}, "format: null stands here, but this program reads casting-school/1"),
        ({"waxes": ...}, "waxes: nothing stands here, but it is required"),
        ({"sessions": []}, 'sessions: "sessions" stands here, but no such key is known'),
        ({"waxes": {}}, "waxes: an object"),
        ({"plans": {}}, "plans: an object"),
        ({"school": []}, "school: a list"),
        ({"taken_at": float("nan")}, "school.json: nan stands in it"),
        ({"taken_at": "a\0b"}, "school.json: a text holds a sign that cannot be kept"),
        ({"taken_at": "\ud83d"}, "school.json: a text holds a sign that cannot be kept"),
    ],
)
def test_a_list_of_rows_that_is_not_as_it_must_be(entries, opened, changed, sentence):
    assert refusal_of(opened, with_json(entries, **changed)).startswith(sentence)


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        (SCHOOL_FILE, b"[]", "school.json: a list"),
        (SCHOOL_FILE, b"{", "school.json: line 1, column 2 stops being JSON"),
        (SCHOOL_FILE, b"\xff", "school.json: byte 0 is not UTF-8"),
        (SCHOOL_FILE, b"[" * 100_000, "school.json: it is nested too deeply"),
        (SCHOOL_FILE, b'{"format": 1, "format": 2}', "school.json: this key stands twice"),
        ("../outside.json", b"{}", "../outside.json: this file does not belong to a school"),
        ("/tmp/outside.json", b"{}", "/tmp/outside.json: this file does not belong to a school"),
        ("plans/2.day.json", b"{}", "plans/2.day.json: this file does not belong to a school"),
        (DAY_FILE, b"{}", f"{DAY_FILE}: this is no day file"),
        (PLAN_FILE, b"{}", f"{PLAN_FILE}: null stands here, but a plan file begins with casting-plan/1"),
        (PLAN_FILE, b'{"format": "casting-plan/1"}', f"{PLAN_FILE}: this plan cannot be shown (KeyError("),
        (PLAN_FILE, b"5", f"{PLAN_FILE}: 5 stands here, but it must be an object"),
    ],
)
def test_a_file_inside_that_is_broken_or_not_its_own(entries, opened, name, data, sentence):
    assert refusal_of(opened, entries | {name: data}).startswith(sentence)


@pytest.mark.parametrize("name", [SCHOOL_FILE, DAY_FILE, PLAN_FILE])
def test_a_file_inside_that_is_missing(entries, opened, name):
    del entries[name]
    assert refusal_of(opened, entries).startswith(f"{name}: this file is missing")


def test_a_plan_that_names_a_wax_that_its_day_has_not(entries, opened):
    plan = json.loads(entries[PLAN_FILE])
    plan["flasks"][0]["waxes"][0]["key"] = "Z9"
    spoiled = entries | {PLAN_FILE: json.dumps(plan).encode()}
    assert refusal_of(opened, spoiled).startswith(f"{PLAN_FILE}: this plan cannot be shown")


def test_a_file_that_stands_twice(entries, tmp_path):
    path = tmp_path / "twice.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(SCHOOL_FILE, entries[SCHOOL_FILE])
        with pytest.warns(UserWarning, match="Duplicate name"):
            archive.writestr(SCHOOL_FILE, b"{}")
    with pytest.raises(Refused, match="stands twice in the ZIP"):
        SchoolFile.open(path)


def test_a_zip_that_unpacks_to_too_much_is_refused_before_it_is_unpacked(entries, opened, tmp_path, monkeypatch):
    with pytest.raises(Refused):
        opened(entries | {SCHOOL_FILE: b" " * (takeaway_file.MOST_SCHOOL + 1)})
    path = tmp_path / "school.zip"
    assert path.stat().st_size < 200_000
    monkeypatch.setattr(zipfile.ZipFile, "open", None)  # nothing is unpacked
    with pytest.raises(Refused) as refused:
        SchoolFile.open(path)
    assert str(refused.value) == "school.json: this is 100 MB, but at most 100 MB are read; take the school away again."


def test_many_files_that_are_too_much_together(entries, opened, monkeypatch):
    monkeypatch.setattr(takeaway_file, "MOST_UNPACKED", sum(len(data) for data in entries.values()))
    assert opened(entries).rows["plans"]
    assert refusal_of(opened, entries | {"plans/2.day.json": b" "}).startswith("file: this is")


def test_a_zip_that_is_too_large_itself(entries, opened, monkeypatch):
    monkeypatch.setattr(takeaway_file, "MOST_PACKED", 100)
    assert refusal_of(opened, entries).startswith("school.zip: this is 0 MB, but at most 0 MB are read")


def test_a_zip_that_says_less_than_it_holds_is_not_unpacked_further(entries, opened, tmp_path):
    """The size of an entry stands in the ZIP's list; here it says one byte, and the text is far longer."""
    opened(entries).archive.close()
    path = tmp_path / "school.zip"
    size = len(entries[SCHOOL_FILE]).to_bytes(4, "little")
    data = path.read_bytes()
    assert data.count(size) >= 2
    path.write_bytes(data.replace(size, (1).to_bytes(4, "little")))
    with pytest.raises(Refused, match=r"school\.json: "):
        SchoolFile.open(path)


def test_a_damaged_file_inside(entries, opened, tmp_path):
    opened(entries).archive.close()
    path = tmp_path / "school.zip"
    data = bytearray(path.read_bytes())
    data[200:240] = bytes(40)
    path.write_bytes(data)
    with pytest.raises(Refused, match=r"school\.json: this file is damaged"):
        SchoolFile.open(path)


def test_ids_count_the_rows():
    assert numbered([{"id": 1}, {"id": 2}], "waxes") == [{"id": 1}, {"id": 2}]
    for rows, sentence in (
        ([{"id": 1}, {"id": 1}], r"waxes\[1\]\.id: 1 stands here, but ids count the rows, so it must be 2"),
        ([{}], r"waxes\[0\]\.id: null stands here"),
        ([5], r"waxes\[0\]: 5 stands here, but it must be an object"),
    ):
        with pytest.raises(Refused, match=sentence):
            numbered(rows, "waxes")
