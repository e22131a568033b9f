"""Numbered rubber bases belong to a school and weigh something."""

import pytest
from django.db import IntegrityError, transaction

from casting.models import RubberBase


def test_a_teacher_sees_the_bases_of_their_school_alone(teacher, other_teacher):
    RubberBase.objects.create(school=teacher.school, number="7", weight_g="12.4")
    RubberBase.objects.create(school=other_teacher.school, number="7", weight_g="9")
    assert [str(base) for base in RubberBase.objects.of(teacher)] == ["7"]
    assert RubberBase.objects.of(other_teacher).get().weight_g == 9


@pytest.mark.parametrize(("number", "weight_g"), [("7", "3"), ("8", "0"), ("8", "-1")])
def test_the_database_refuses_a_number_twice_and_a_base_without_weight(school, number, weight_g):
    RubberBase.objects.create(school=school, number="7", weight_g="12.4")
    with pytest.raises(IntegrityError), transaction.atomic():
        RubberBase.objects.create(school=school, number=number, weight_g=weight_g)
