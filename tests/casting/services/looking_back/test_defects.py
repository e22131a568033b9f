import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from casting.models import Flask, PieceDefect
from casting.models.errors import NotPlanned
from casting.services.flasks import fix_flask
from casting.services.looking_back.defects import note_defect, take_back_defect
from casting.services.waxes import withdraw


@pytest.fixture
def cast(planned, teacher):
    """A piece of a flask that is poured."""
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    fix_flask(planned, "A", Flask.State.POURED, by=teacher, poured_at=timezone.now())
    return planned.waxes.standing().first()


def test_a_defect_is_noted_once_and_keeps_who_and_when(cast, teacher):
    first = note_defect(cast, kind="porosity", where="thick", note="near the hallmark", by=teacher)
    assert note_defect(cast, kind="porosity", where="thick", by=teacher) == first
    assert (first.by, first.note) == (teacher, "near the hallmark") and first.noted_at
    note_defect(cast, kind="porosity", where="far", by=teacher)
    assert PieceDefect.objects.standing().count() == 2


def test_one_that_is_taken_back_stays_in_the_table_and_may_be_noted_again(cast, teacher):
    first = note_defect(cast, kind="rough", where="all_over", by=teacher)
    take_back_defect(first, by=teacher)
    assert not PieceDefect.objects.standing().exists()
    first.refresh_from_db()
    assert first.taken_back_by == teacher and first.taken_back_at
    assert note_defect(cast, kind="rough", where="all_over", by=teacher) != first
    assert PieceDefect.objects.count() == 2


def test_the_database_keeps_it_to_once(cast, teacher):
    note_defect(cast, kind="rough", where="all_over", by=teacher)
    with pytest.raises(IntegrityError), transaction.atomic():
        PieceDefect.objects.create(wax=cast, kind="rough", where="all_over")


def test_no_piece_no_defect(planned, teacher):
    wax = planned.waxes.standing().first()
    with pytest.raises(NotPlanned, match=f"{wax.tag} is not cast yet"):
        note_defect(wax, kind="rough", where="all_over", by=teacher)
    withdraw(wax, by=teacher, version=wax.version)
    wax.refresh_from_db()
    with pytest.raises(NotPlanned, match="withdrawn"):
        note_defect(wax, kind="rough", where="all_over", by=teacher)
    assert not PieceDefect.objects.exists()
