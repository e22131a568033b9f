"""The only writer of a school's rubber bases."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from django.db import transaction

from casting.models import RubberBase
from school.models import School


@transaction.atomic
def keep_bases(school: School, weights_g: Mapping[str, Decimal]) -> None:
    """Make these the school's rubber bases: each number with its weight in g; others are forgotten.

    A wax keeps the weight that was subtracted from it, so no wax changes.
    """
    School.objects.select_for_update().get(pk=school.pk)
    RubberBase.objects.filter(school=school).exclude(number__in=weights_g).delete()
    RubberBase.objects.bulk_create(
        [RubberBase(school=school, number=number, weight_g=weight_g) for number, weight_g in weights_g.items()],
        update_conflicts=True,
        unique_fields=["school", "number"],
        update_fields=["weight_g"],
    )
