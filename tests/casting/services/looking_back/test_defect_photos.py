"""A picture of a defect: kept by the machinery of photos, and gone with its defect."""

import pytest

from casting.models import DefectPhoto, PieceDefect
from casting.services.looking_back.defect_photos import keep_picture, remove_picture
from casting.services.looking_back.defects import take_back_defect
from casting.services.photos import NoPhoto, forget_photos
from tests.casting_factories import handed_in
from tests.photos import drawn_by_nobody


@pytest.fixture
def drawn(monkeypatch):
    return drawn_by_nobody(monkeypatch)


@pytest.fixture
def rough(day, student):
    return PieceDefect.objects.create(wax=handed_in(day, student), kind="rough", where="thin")


def test_it_is_one_picture_until_it_is_taken_away_or_its_student_is_forgotten(rough, drawn, student):
    for data in (b"one", b"one", b"two"):
        keep_picture(rough, data)
    assert drawn == [b"one", b"two"] and [bytes(one.small) for one in DefectPhoto.objects.all()] == [b"small two"]
    assert PieceDefect.objects.standing().get().photo_key
    remove_picture(rough)
    assert PieceDefect.objects.standing().get().photo_key is None
    keep_picture(rough, b"two")
    assert forget_photos(student) == 1 and not DefectPhoto.objects.exists()


def test_a_defect_that_is_taken_back_loses_its_picture_and_takes_none(rough, drawn, teacher):
    keep_picture(rough, b"one")
    take_back_defect(rough, by=teacher)
    assert not DefectPhoto.objects.exists()
    with pytest.raises(NoPhoto, match="was taken back"):
        keep_picture(rough, b"two")
