"""The command that reads a school in."""

import re
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from casting.models import CastingDay
from casting.selectors.takeaway import pack
from school.invitations import find_invitation
from school.models import School
from tests.casting.services.test_takeaway import AT
from tests.casting_factories import handed_in


@pytest.fixture
def path(day, student, teacher, tmp_path):
    handed_in(day, student)
    path = tmp_path / "school.zip"
    with path.open("wb") as out:
        pack(teacher.school, out, AT)
    return path


def test_a_file_becomes_a_school_whose_people_have_links(path, day):
    out = StringIO()
    call_command("read_school", path, "--site", "https://casting.example/", stdout=out)
    said = out.getvalue()
    assert School.objects.count() == CastingDay.objects.count() == 2
    assert "Tidewater Bench School is read in." in said
    assert f"The class {day.course.name} has another code" in said and "Print its poster again." in said
    (token,) = re.findall(r"Imre Valdane, teacher: https://casting\.example/invited/\?token=(\S+)", said)
    assert find_invitation(token, to_a_school=True).person.school != day.course.school


def test_a_file_that_is_no_school_changes_nothing(path, tmp_path):
    broken = tmp_path / "broken.zip"
    broken.write_bytes(path.read_bytes()[:-40])
    with pytest.raises(CommandError, match=r"Nothing was read in\. broken\.zip: this is no ZIP that can be read"):
        call_command("read_school", broken)
    with pytest.raises(CommandError, match=r"gone\.zip"):
        call_command("read_school", tmp_path / "gone.zip")
    assert School.objects.count() == 1


def test_an_address_that_is_none_is_refused_before_anything_is_read(path):
    with pytest.raises(CommandError, match="casting is not the address of a site"):
        call_command("read_school", path, "--site", "casting")
    assert School.objects.count() == 1
