"""The fields of a day's own bench: what the house rules say stands beside each."""

from casting.forms.own_bench import NAMES, as_typed, bench_fields
from casting.models import HouseRules


def test_each_field_says_what_counts_when_it_is_empty(day):
    HouseRules.objects.filter(school=day.course.school).update(rules={"torches": 2, "melt_w": 350.5})
    fields = bench_fields(day)
    assert tuple(fields) == NAMES and not any(field.required for field in fields.values())
    assert "house rules say, 2." in fields["torches"].help_text
    assert "house rules say, 350.5." in fields["melt_w"].help_text
    day.hands = 4
    assert as_typed(day) == {"torches": None, "hands": 4, "melt_w": None}
