"""A photo on its pages: seen by its student and the school's teachers alone, and never the end of its wax."""

import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from casting.models import Wax, WaxPhoto
from casting.services import photos as photo_services
from casting.services.photos import keep_photo
from casting.worker.photo import NotAPhoto, Photo, Why
from school import uploads
from school.models import Role
from tests.casting_factories import handed_in, typed
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory

JPEG = b"\xff\xd8\xff large", b"\xff\xd8\xff small"


@pytest.fixture(autouse=True)
def _drawn(monkeypatch):
    """Photos are drawn by nobody, and what begins with X is none."""

    def here(data):
        if not data or data.startswith(b"X"):
            raise NotAPhoto(Why.NO_PICTURE if data else Why.EMPTY)
        return Photo(*JPEG)

    monkeypatch.setattr(photo_services, "clean_apart", here)


def sent(data=b"a photo"):
    return {"photo": SimpleUploadedFile("IMG_0042.HEIC", data)}


@pytest.fixture
def wax(day, student):
    wax = handed_in(day, student)
    keep_photo(wax, b"a photo")
    return wax


def of_student(wax):
    return [reverse(name, args=[wax.pk]) for name in ("own_photo", "own_small_photo")]


def of_school(wax):
    return [reverse(name, args=[wax.day_id, wax.pk]) for name in ("wax_photo", "small_photo")]


def test_only_its_student_and_the_teachers_and_helpers_of_the_school_see_it(
    wax, school, student_client, classmate_client, teacher_client, other_teacher_client, stranger_client
):
    helper = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    seen = [(student_client, of_student(wax)), (teacher_client, of_school(wax)), (helper, of_school(wax))]
    for client, addresses in seen:
        for address, jpeg in zip(addresses, JPEG, strict=True):
            answer = client.get(address)
            assert (answer.status_code, answer.content, answer.headers["Content-Type"]) == (200, jpeg, "image/jpeg")
            assert "private" in answer.headers["Cache-Control"]
            assert answer.headers["X-Content-Type-Options"] == "nosniff"
    for address in of_student(wax):
        assert classmate_client.get(address).status_code == 404
        assert stranger_client.get(address).status_code == teacher_client.get(address).status_code == 302
    for address in of_school(wax):
        assert other_teacher_client.get(address).status_code == 404
        assert stranger_client.get(address).status_code == student_client.get(address).status_code == 302


def test_nobody_else_sends_or_takes_away(wax, classmate_client, other_teacher_client, stranger_client):
    own, of_day = (reverse("keep_own_photo", args=[wax.pk]), reverse("keep_photo", args=[wax.day_id, wax.pk]))
    for more in (sent(b"another"), {"do": "remove"}):
        assert classmate_client.post(own, more).status_code == 404
        assert other_teacher_client.post(of_day, more).status_code == 404
        assert stranger_client.post(own, more).status_code == stranger_client.post(of_day, more).status_code == 302
    by_key = reverse("hand_in_photo", args=[wax.day_id])
    assert classmate_client.post(by_key, {"key": wax.key} | sent(b"another")).status_code == 404
    assert Wax.objects.with_photo_keys().get().photo_key == WaxPhoto.objects.get().sent_as
    assert photo_services.keep_photo(wax, b"a photo").wax == wax, "it still is the first"


def test_a_wax_without_one_has_no_photo(day, student, student_client, teacher_client):
    bare = handed_in(day, student)
    assert {student_client.get(address).status_code for address in of_student(bare)} == {404}
    assert {teacher_client.get(address).status_code for address in of_school(bare)} == {404}


def test_without_a_script_it_comes_with_its_wax(day, student_client):
    page = student_client.get(reverse("hand_in_day", args=[day.pk])).content.decode()
    assert 'type="file"' in page and 'enctype="multipart/form-data"' in page
    answer = student_client.post(reverse("hand_in_day", args=[day.pk]), typed(day) | sent(), follow=True)
    assert WaxPhoto.objects.get().wax == Wax.objects.get()
    assert f'src="{of_student(Wax.objects.get())[1]}?' in answer.content.decode()


@pytest.mark.parametrize(("data", "said"), [(b"X", "That file is no photo"), (b"", "The photo is empty")])
def test_a_file_that_is_no_photo_costs_no_wax(day, student_client, data, said):
    answer = student_client.post(reverse("hand_in_day", args=[day.pk]), typed(day) | sent(data), follow=True)
    text = answer.content.decode()
    wax = Wax.objects.get()
    assert f"Wax {wax.tag} is handed in, but without its photo. {said}" in text
    assert not WaxPhoto.objects.exists() and f"Write {wax.tag} on its tag." in text


def test_a_file_that_is_too_long_is_cut_off_on_its_way_and_costs_no_wax(day, student_client, monkeypatch):
    """As 30 MB would be where the most is 12: here the most is less than the file's first piece of 64 KiB."""
    monkeypatch.setattr(uploads, "MOST_BYTES", 1000)
    came = []

    def here(data):
        came.append(len(data))
        raise NotAPhoto(Why.TOO_LONG)

    monkeypatch.setattr(photo_services, "clean_apart", here)
    answer = student_client.post(reverse("hand_in_day", args=[day.pk]), typed(day) | sent(bytes(300_000)), follow=True)
    assert 1000 < came[0] <= 65_536 and "larger than 12 MB" in answer.content.decode() and Wax.objects.count() == 1


def test_with_something_to_put_right_the_page_says_that_the_photo_did_not_stay(day, student_client):
    address = reverse("hand_in_day", args=[day.pk])
    wrong = student_client.post(address, typed(day, what="") | sent())
    assert wrong.status_code == 422 and "Choose it again." in wrong.content.decode()
    assert "Choose it again." not in student_client.post(address, typed(day, what="")).content.decode()


def test_a_phone_sends_it_after_its_wax_by_the_wax_s_own_key(day, student_client):
    wax_key = str(uuid.uuid4())
    by_key = reverse("hand_in_photo", args=[day.pk])
    asked = {"key": wax_key, "outbox": "1"}
    assert student_client.post(by_key, asked | sent()).status_code == 404, "its wax is not there yet"
    student_client.post(reverse("hand_in_day", args=[day.pk]), typed(day, key=wax_key) | {"outbox": "1"})
    for _nth in range(2):
        answer = student_client.post(by_key, asked | sent())
        assert answer.status_code == 200 and answer.headers["Photo-Page"] == reverse(
            "wax_tag", args=[Wax.objects.get().pk]
        )
    assert WaxPhoto.objects.count() == 1
    refused = student_client.post(by_key, asked | sent(b"X"))
    assert (refused.status_code, refused.headers["Content-Type"][:10]) == (422, "text/plain")
    assert "no photo" in refused.content.decode() and WaxPhoto.objects.count() == 1
    assert student_client.post(by_key, {"key": "x"} | sent()).status_code == 404


def test_a_photo_that_a_phone_kept_for_long_does_not_take_a_newer_one_s_place(wax, student_client):
    address = reverse("keep_own_photo", args=[wax.pk])
    before = WaxPhoto.objects.get().sent_as
    for age_ms, stays in (("3600000", True), ("0", False)):
        answer = student_client.post(address, {"outbox": "1", "age_ms": age_ms} | sent(b"another"))
        assert (answer.status_code, WaxPhoto.objects.get().sent_as == before) == (200, stays)


def test_while_the_school_is_busy_a_phone_is_told_to_come_again(wax, student_client, monkeypatch):
    def busy(*_asked, **_more):
        raise photo_services.Busy("Many photos are being read just now. Send it again in a minute.")

    monkeypatch.setattr(photo_services, "keep_photo", busy)
    address = reverse("keep_own_photo", args=[wax.pk])
    assert student_client.post(address, {"outbox": "1"} | sent()).status_code == 503


@pytest.mark.parametrize("page", ["wax_tag", "change_wax"])
def test_its_student_sees_it_replaces_it_and_takes_it_away(wax, student_client, page):
    assert of_student(wax)[1] in student_client.get(reverse(page, args=[wax.pk])).content.decode()
    address = reverse("keep_own_photo", args=[wax.pk])
    text = student_client.post(address, sent(b"another"), follow=True).content.decode()
    assert f"The photo of wax {wax.tag} is kept." in text
    assert "No photo was chosen." in student_client.post(address, {}, follow=True).content.decode()
    text = student_client.post(address, {"do": "remove"}, follow=True).content.decode()
    assert "is taken away" in text and not WaxPhoto.objects.exists() and of_student(wax)[1] not in text


def test_it_stands_beside_its_wax_wherever_that_is_listed(wax, student_client, teacher_client):
    assert of_student(wax)[1] in student_client.get(reverse("my_waxes")).content.decode()
    small = of_school(wax)[1]
    day = wax.day
    assert small in teacher_client.get(reverse("waxes", args=[day.pk])).content.decode()
    assert small in teacher_client.get(reverse("correct_wax", args=[day.pk, wax.pk])).content.decode()
    assert small in teacher_client.get(reverse("board", args=[day.pk]), {"wax": wax.tag}).content.decode()


def test_a_list_that_is_open_hears_of_a_new_photo(day, student, student_client):
    wax = handed_in(day, student)
    mark = student_client.get(reverse("my_waxes")).context["mark"]
    asked = {"headers": {"HX-Request": "true"}}
    assert student_client.get(reverse("my_waxes"), {"seen": mark}, **asked).status_code == 204
    keep_photo(wax, b"a photo")
    assert student_client.get(reverse("my_waxes"), {"seen": mark}, **asked).status_code == 200


def test_a_teacher_photographs_what_was_weighed_in(day, student, teacher_client):
    weigh_in = reverse("weigh_in", args=[day.pk])
    assert "data-photo-form" not in teacher_client.get(weigh_in).content.decode()
    teacher_client.post(weigh_in, typed(day, student=str(student.pk)))
    wax = Wax.objects.get()
    address = reverse("keep_photo", args=[day.pk, wax.pk])
    assert f'action="{address}"' in teacher_client.get(weigh_in).content.decode()
    assert teacher_client.post(address, {"page": "weigh_in"} | sent()).url == weigh_in
    assert of_school(wax)[1] in teacher_client.get(weigh_in).content.decode()
    assert teacher_client.post(address, sent()).url == reverse("correct_wax", args=[day.pk, wax.pk])


def test_another_like_it_has_no_photo_yet(wax, student_client):
    page = student_client.get(reverse("hand_in_day", args=[wax.day_id]), {"like": wax.pk}).content.decode()
    assert "small.jpg" not in page and 'type="file"' in page
