"""A sprue as measured on a casting: once, corrected with who and what before, unknown again when it is blank."""

import pytest

from casting.models import BenchChange
from casting.models.errors import NotPlanned
from casting.selectors.flasks import noted_on
from casting.services.looking_back.sprues import note_sprue
from school.models import Role
from tests.casting_factories import handed_in
from tests.factories import PersonFactory


@pytest.fixture
def wax(day, student):
    return handed_in(day, student)


def test_however_often_and_by_whom_it_is_noted_it_is_one_note(wax, teacher):
    helper = PersonFactory(school=teacher.school, role=Role.HELPER, name="Nadia Ferro")
    for by in (helper, teacher):
        note_sprue(wax, "2,50", " ", by=by)
    noted = noted_on(wax.day)["sprue", wax.tag]
    assert (noted.figures, noted.by) == ({"thick_mm": "2.5"}, "Nadia Ferro")
    note_sprue(wax, "2.5", "12", by=teacher)
    assert [one.before and one.before["figures"] for one in BenchChange.objects.filter(do="sprue")] == [
        None, {"thick_mm": "2.5"},
    ]  # fmt: skip
    note_sprue(wax, "", "", by=teacher)
    assert ("sprue", wax.tag) not in noted_on(wax.day)
    with pytest.raises(NotPlanned, match="Write how thick the sprue"):
        note_sprue(wax, "", "", by=teacher)


def test_it_is_read_in_the_school_s_unit_and_what_is_no_sprue_is_refused(wax, teacher, school):
    school.length_unit = "in"
    school.save()
    wax.day.course.refresh_from_db()
    note_sprue(wax, "1/8", "1/2", by=teacher)
    # By hand: an eighth of 25.4 mm is 3.175 mm.
    assert noted_on(wax.day)["sprue", wax.tag].figures == {"thick_mm": "3.175", "long_mm": "12.7"}
    for thick, long, why in (
        ("0", "", "“0” cannot be the thickness of a sprue"),
        ("2.5", "", "“2.5” cannot be the thickness of a sprue. Write more than 0 and at most 0.79"),
        ("", "7", "“7” cannot be the length of a sprue"),
        ("thin", "", "is not a number"),
    ):
        with pytest.raises(NotPlanned, match=why):
            note_sprue(wax, thick, long, by=teacher)
    assert BenchChange.objects.filter(do="sprue").count() == 1
