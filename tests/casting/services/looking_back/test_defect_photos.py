"""A picture of a defect: cleaned, kept once, replaced, and gone with the defect or its student's photos."""

import pytest
from django.utils import timezone

from casting.models import DefectPhoto, PieceDefect
from casting.models.errors import NotPlanned
from casting.services import photos
from casting.services.looking_back.defect_photos import keep_picture, remove_picture
from casting.services.looking_back.defects import take_back_defect
from casting.worker.photo import NotAPhoto, Photo, Why
from school.models import Student
from tests.casting_factories import handed_in


@pytest.fixture
def drawn(monkeypatch):
    """Photos are drawn by nobody, and what begins with X is none; what was asked for is noted."""
    asked = []

    def here(data):
        if data.startswith(b"X"):
            raise NotAPhoto(Why.NO_PICTURE)
        asked.append(data)
        return Photo(b"large " + data, b"small " + data)

    monkeypatch.setattr(photos, "clean_apart", here)
    return asked


@pytest.fixture
def rough(day, student):
    return PieceDefect.objects.create(wax=handed_in(day, student), kind="rough", where="thin")


def test_the_same_file_is_one_picture_and_another_takes_its_place(rough, drawn):
    keep_picture(rough, b"one")
    keep_picture(rough, b"one")
    assert drawn == [b"one"] and PieceDefect.objects.standing().get().photo_key
    keep_picture(rough, b"two")
    assert [bytes(one.small) for one in DefectPhoto.objects.all()] == [b"small two"]
    remove_picture(rough)
    assert not DefectPhoto.objects.exists() and PieceDefect.objects.standing().get().photo_key is None


def test_what_is_no_photo_is_refused_in_a_sentence(rough, drawn):
    with pytest.raises(NotPlanned, match="no photo of the kinds"):
        keep_picture(rough, b"X")
    assert not DefectPhoto.objects.exists()


def test_a_defect_that_is_taken_back_loses_its_picture_and_takes_none(rough, drawn, teacher):
    keep_picture(rough, b"one")
    take_back_defect(rough, by=teacher)
    assert not DefectPhoto.objects.exists()
    with pytest.raises(NotPlanned, match="was taken back"):
        keep_picture(rough, b"two")


def test_no_picture_is_kept_of_a_piece_whose_student_was_forgotten(rough, drawn, student):
    Student.objects.filter(pk=student.pk).update(forgotten_at=timezone.now())
    with pytest.raises(NotPlanned, match="was forgotten"):
        keep_picture(rough, b"one")
    assert not DefectPhoto.objects.exists()
