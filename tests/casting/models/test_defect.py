from django.utils import timezone

from casting.calc.values.defect import Defect
from casting.models import PieceDefect
from tests.casting_factories import handed_in


def test_the_kinds_are_those_whose_causes_are_known():
    assert {str(kind) for kind in PieceDefect.Kind} == {str(kind) for kind in Defect}


def test_standing_are_those_not_taken_back_the_newest_first(day, student, teacher, other_teacher):
    wax = handed_in(day, student)
    kept = [PieceDefect.objects.create(wax=wax, kind="rough", where=where) for where in ("thin", "thick")]
    PieceDefect.objects.create(wax=wax, kind="cracks", where="far", taken_back_at=timezone.now())
    assert list(PieceDefect.objects.standing()) == kept[::-1]
    assert PieceDefect.objects.of(teacher).count() == 3 and not PieceDefect.objects.of(other_teacher).exists()
    assert str(kept[0]).startswith("rough")
