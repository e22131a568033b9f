import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from casting.models import DefectPhoto, Flask, PieceDefect
from casting.services.flasks import fix_flask
from tests.photos import opened, with_place


@pytest.fixture
def cast(planned, teacher):
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    fix_flask(planned, "A", Flask.State.POURED, by=teacher, poured_at=timezone.now())
    return planned


def address(day):
    return reverse("defects", args=[day.pk])


def test_a_defect_is_noted_shown_with_its_causes_and_taken_back(cast, teacher, teacher_client):
    wax = cast.waxes.standing().first()
    posted = {"piece": wax.tag, "kind": "incomplete", "where": "thin", "note": "<b>edge</b>"}
    page = teacher_client.post(address(cast), posted, follow=True).content.decode()
    defect = PieceDefect.objects.get()
    assert (defect.wax, defect.by) == (wax, teacher)
    assert "did not fill" in page and "&lt;b&gt;edge&lt;/b&gt;" in page
    assert "usual causes: nothing is recorded" in page
    teacher_client.post(reverse("take_back_defect", args=[cast.pk, defect.pk]))
    assert "did not fill</b>" not in teacher_client.get(address(cast)).content.decode()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"piece": ""}, "Choose the piece."),
        ({"piece": "Z9"}, "No such piece on this day."),
        ({"kind": "cursed"}, "Choose one of the list."),
        ({"where": ""}, "Choose where."),
        ({"note": "x" * 201}, "201"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_noted(change, sentence, cast, teacher_client):
    posted = {"piece": cast.waxes.first().tag, "kind": "rough", "where": "thin", "note": ""} | change
    answer = teacher_client.post(address(cast), posted)
    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert not PieceDefect.objects.exists()


def test_before_the_first_pour_the_page_says_the_next_step(planned, teacher_client):
    page = teacher_client.get(address(planned)).content.decode()
    assert "Nothing is cast yet." in page and reverse("flasks", args=[planned.pk]) in page


def test_a_sprue_is_measured_where_it_may_be_the_cause_and_what_was_typed_stays(
    cast, teacher_client, other_teacher_client
):
    wax = cast.waxes.first()
    PieceDefect.objects.create(wax=wax, kind="cracks", where="thick")
    assert "Measure its sprue" not in teacher_client.get(address(cast)).content.decode()
    PieceDefect.objects.create(wax=wax, kind="shrinkage", where="thick")
    measured = {"sprue_of": wax.tag, "thick": "2.5", "long": "14"}
    assert other_teacher_client.post(address(cast), measured).status_code == 404
    answer = teacher_client.post(address(cast), measured | {"thick": "thin"})
    page = answer.content.decode()
    assert answer.status_code == 422 and "is not a number" in page and 'value="thin"' in page and 'value="14"' in page
    page = teacher_client.post(address(cast), measured, follow=True).content.decode().replace("\u202f", " ")
    assert "14 mm long" in page and "length of the sprue: 14 mm; at most 10 mm" in page


def test_a_piece_of_another_school_cannot_be_taken_back(cast, other_teacher_client, teacher):
    defect = PieceDefect.objects.create(wax=cast.waxes.first(), kind="rough", where="thin", by=teacher)
    assert other_teacher_client.post(reverse("take_back_defect", args=[cast.pk, defect.pk])).status_code == 404
    defect.refresh_from_db()
    assert defect.taken_back_at is None


def test_a_picture_is_cleaned_shown_small_and_seen_by_nobody_else(cast, teacher_client, other_teacher_client):
    defect = PieceDefect.objects.create(wax=cast.waxes.first(), kind="rough", where="thin")
    keep = reverse("keep_defect_photo", args=[cast.pk, defect.pk])
    assert "No photo was chosen" in teacher_client.post(keep, follow=True).content.decode()
    assert other_teacher_client.post(keep, {"photo": SimpleUploadedFile("a.jpg", b"x")}).status_code == 404
    page = teacher_client.post(keep, {"photo": SimpleUploadedFile("a.jpg", with_place())}, follow=True).content.decode()
    small, large = (reverse(name, args=[cast.pk, defect.pk]) for name in ("small_defect_photo", "defect_photo"))
    assert f'src="{small}?' in page and f'href="{large}"' in page
    answer = teacher_client.get(small)
    assert opened(answer.content).size == (240, 180) and answer["Content-Type"] == "image/jpeg"
    assert b"Saltmarsh" not in teacher_client.get(large).content
    for address_of in (small, large):
        assert other_teacher_client.get(address_of).status_code == 404
    teacher_client.post(keep, {"do": "remove"})
    assert not DefectPhoto.objects.exists() and teacher_client.get(large).status_code == 404
