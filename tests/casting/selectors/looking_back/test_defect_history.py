"""The history of defects: each piece once, and only those that were poured."""

import pytest
from django.utils import timezone

from casting.models import Flask, PieceDefect
from casting.selectors.looking_back.defect_history import defect_history
from tests.casting.past_days import earlier

pytestmark = pytest.mark.django_db


def test_a_piece_with_a_kind_at_two_places_counts_once(planned, school):
    wax, other, _third = earlier(planned, 7).waxes.order_by("tag")
    for where in ("thin", "far"):
        PieceDefect.objects.create(wax=wax, kind="rough", where=where)
    PieceDefect.objects.create(wax=wax, kind="porosity", where="thin")
    PieceDefect.objects.create(wax=other, kind="rough", where="thin", taken_back_at=timezone.now())
    ((key, cast),) = defect_history(school).items()
    assert key == ("sterling", "64x64")
    assert (cast.pieces, cast.with_defect, dict(cast.kinds)) == (3, 1, {"rough": 1, "porosity": 1})


def test_a_flask_that_was_not_poured_has_no_pieces(planned, school):
    Flask.objects.filter(day=earlier(planned, 7)).update(state="invested")
    assert defect_history(school) == {}


def test_it_asks_as_often_for_many_days_and_of_one_school_alone(
    planned, school, other_teacher, django_assert_num_queries
):
    for back in (7, 14):
        earlier(planned, back)
        with django_assert_num_queries(4):
            found = defect_history(school)
    assert [cast.pieces for cast in found.values()] == [6]
    assert defect_history(other_teacher.school) == {}
