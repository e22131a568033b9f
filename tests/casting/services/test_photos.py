"""Photos of waxes: kept once, replaced, refused in a sentence, taken away; nothing else of the wax is touched."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import CastingDay, Wax, WaxPhoto
from casting.services import photos
from casting.services.photos import Busy, NoPhoto, forget_photos, keep_photo, remove_photo
from casting.services.waxes import HandInClosed
from casting.worker.photo import NotAPhoto, Photo, Why
from school import students
from tests.casting_factories import handed_in
from tests.photos import drawn_by_nobody, opened, photo, with_place


@pytest.fixture
def drawn(monkeypatch):
    return drawn_by_nobody(monkeypatch)


def test_a_photo_is_cleaned_by_a_child_and_kept_beside_its_wax(day, student):
    wax = handed_in(day, student)
    kept = keep_photo(wax, with_place())
    row = WaxPhoto.objects.get(wax=wax)
    assert row == kept and b"Saltmarsh" not in bytes(row.jpeg) and opened(bytes(row.small)).size == (240, 180)
    assert Wax.objects.with_photo_keys().get().photo_key == row.sent_as


def test_the_same_file_sent_again_is_one_photo_and_another_takes_its_place(day, student, drawn):
    wax = handed_in(day, student)
    first, again = keep_photo(wax, b"one"), keep_photo(wax, b"one")
    assert (first.pk, drawn) == (again.pk, [b"one"])
    keep_photo(wax, b"two")
    assert [bytes(row.jpeg) for row in WaxPhoto.objects.all()] == [b"large two"]
    keep_photo(handed_in(day, student), b"two")
    assert WaxPhoto.objects.count() == 2, "each wax has its own, also of the same file"


def test_a_photo_that_comes_late_leaves_a_newer_one_in_its_place(day, student, drawn):
    wax, now = handed_in(day, student), timezone.now()
    keep_photo(wax, b"newer", at=now - dt.timedelta(minutes=1))
    assert bytes(keep_photo(wax, b"late", at=now - dt.timedelta(minutes=2)).jpeg) == b"large newer"
    assert drawn == [b"newer"], "what would not be kept is not read"
    assert bytes(keep_photo(wax, b"newest", at=now).jpeg) == b"large newest"
    assert WaxPhoto.objects.count() == 1


def test_a_photo_is_not_kept_of_who_was_forgotten_while_it_was_read(day, student, monkeypatch):
    wax = handed_in(day, student)

    def forget_meanwhile(_data):
        students.forget(student)
        return Photo(b"large", b"small")

    monkeypatch.setattr(photos, "clean_apart", forget_meanwhile)
    with pytest.raises(NoPhoto, match="Its student was forgotten"):
        keep_photo(wax, b"one")
    assert not WaxPhoto.objects.exists()


@pytest.mark.parametrize("why", sorted(set(Why) - {Why.NOT_PLAIN}))
def test_each_refusal_is_a_sentence_that_says_what_to_do_and_keeps_the_photo_before(
    day, student, drawn, monkeypatch, why
):
    wax = handed_in(day, student)
    keep_photo(wax, b"before")

    def refuse(_data):
        raise NotAPhoto(why, 40_000_000)

    monkeypatch.setattr(photos, "clean_apart", refuse)
    with pytest.raises(NoPhoto) as refused:
        keep_photo(wax, b"after")
    said = refused.value.sentence
    assert said.endswith(".") and any(word in said for word in ("Take it again", "Take a photo", "Choose a photo"))
    assert ("40 million pixels" in said) == (why == Why.TOO_MANY_PIXELS)
    assert bytes(WaxPhoto.objects.get().jpeg) == b"large before"


def test_while_too_many_are_read_it_says_so_and_a_refused_one_leaves_its_place_free(day, student, drawn, monkeypatch):
    wax = handed_in(day, student)
    monkeypatch.setattr(photos, "PATIENCE_S", 0.01)
    taken = [photos.AT_ONCE.acquire(blocking=False) for _nth in range(2)]
    assert taken == [True, True]
    try:
        with pytest.raises(Busy, match="in a minute"):
            keep_photo(wax, b"one")
    finally:
        photos.AT_ONCE.release(2)
    assert keep_photo(wax, b"one")


def test_a_day_that_is_shut_takes_no_photo_and_reads_none(day, student, drawn):
    wax = handed_in(day, student)
    CastingDay.objects.filter(pk=day.pk).update(ended_at=timezone.now())
    with pytest.raises(HandInClosed):
        keep_photo(wax, b"one")
    assert drawn == [] and not WaxPhoto.objects.exists()


def test_it_is_taken_away_and_nothing_else(day, student, drawn):
    wax, other = handed_in(day, student), handed_in(day, student)
    keep_photo(wax, b"one")
    keep_photo(other, b"two")
    remove_photo(wax)
    remove_photo(wax)
    assert [row.wax for row in WaxPhoto.objects.all()] == [other]
    assert Wax.objects.get(pk=wax.pk).version == wax.version


def test_who_is_forgotten_leaves_no_photo_on_no_day_and_others_keep_theirs(day, student, classmate, drawn):
    for owner in (student, student, classmate):
        keep_photo(handed_in(day, owner), photo(64, 48))
    CastingDay.objects.filter(pk=day.pk).update(ended_at=timezone.now())
    assert forget_photos(student) == 2
    assert [row.wax.student for row in WaxPhoto.objects.all()] == [classmate]
    assert Wax.objects.count() == 3
