"""The prices, as a teacher keeps them."""

import pytest

from casting.models import Alloy
from tests.casting.account_days import cast, invest, lot_of, metal

PRICES = "/prices/"


@pytest.fixture
def safe(day, school):
    """A school with a shelf and nothing in the safe."""
    return school


def test_prices_are_kept_as_a_version(safe, teacher_client):
    silver = metal(safe)
    typed = {"version": "0", f"gram_{silver.pk}": "1,605", "per_piece": "6", "class_fee": "20", "minimum": ""}
    text = teacher_client.post(PRICES, typed, follow=True).content.decode()
    assert "Version 1 of the prices is kept." in text and 'value="1.605"' in text
    kept = safe.price_lists.get()
    assert (kept.per_gram, kept.per_piece, kept.minimum) == ({"sterling": "1.605"}, 6, 0)
    answer = teacher_client.post(PRICES, typed)
    assert answer.status_code == 409 and "Somebody else has kept other prices" in answer.content.decode()
    typed |= {"version": answer.context["form"].data["version"], "per_piece": "7"}
    teacher_client.post(PRICES, typed)
    assert safe.price_lists.first().version == 2 and safe.price_lists.count() == 2


def test_a_price_that_is_none_is_said(safe, teacher_client):
    answer = teacher_client.post(PRICES, {"version": "0", "per_piece": "six"})
    assert answer.status_code == 422 and "“six”" in answer.content.decode() and not safe.price_lists.exists()


def test_a_metal_that_was_cast_and_is_no_longer_worked_with_still_has_a_price(planned, teacher, teacher_client, school):
    invest(planned, teacher)
    cast(planned, "A", lot_of(school, teacher), teacher)
    Alloy.objects.filter(school=school).update(offered=False)
    boxes = teacher_client.get(PRICES).context["form"].grams
    assert [box.name for box in boxes] == [f"gram_{metal(school).pk}"]
