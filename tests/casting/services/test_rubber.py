"""The list of rubber bases is kept as it was entered."""

from decimal import Decimal

from casting.models import RubberBase
from casting.services.rubber import keep_bases


def kept(school):
    return {base.number: base.weight_g for base in RubberBase.objects.filter(school=school)}


def test_bases_are_added_weighed_again_and_forgotten(school, other_teacher):
    keep_bases(other_teacher.school, {"7": Decimal(9)})
    keep_bases(school, {"7": Decimal("12.4"), "8": Decimal("11.9")})
    seven = RubberBase.objects.get(school=school, number="7").pk
    keep_bases(school, {"9": Decimal(10), "7": Decimal("12.5")})
    assert kept(school) == {"7": Decimal("12.5"), "9": Decimal(10)}
    assert RubberBase.objects.get(school=school, number="7").pk == seven
    assert kept(other_teacher.school) == {"7": Decimal(9)}
    keep_bases(school, {})
    assert kept(school) == {}
