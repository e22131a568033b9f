"""What was weighed of finished bases, and the charges that follow from it."""

import json
from decimal import Decimal

import pytest
from django.utils import timezone

from casting.dayfile import read
from casting.models import Plan, StepRecord
from casting.selectors.mounted import (
    WeighedBase,
    charge_mounted,
    charge_on,
    done_and_weighed,
    mounted_charges,
    weighed_bases,
)
from tests.days.written_plans import as_text, plan_of_one


@pytest.fixture
def one():
    """A plan of one wax of 3.2 g, 34.53 g of sterling: by hand 3.2 / 0.96 x 10.36."""
    plan_text, day_text = as_text(*plan_of_one())
    return json.loads(plan_text), read(day_text).day


def base(wax_g, *tags):
    return WeighedBase(Decimal(20) + Decimal(wax_g), Decimal(20), "7", frozenset(tags))


def test_a_charge_follows_from_what_was_weighed(one):
    """By hand: 3.36 g, 5 % more, are 36.26 g; with the button of 15 g for this width 51.26, up to the next 0.5 g."""
    plan, day = one
    row = plan["flasks"][0]
    charged = charge_mounted(row, day, base("3.36", row["waxes"][0]["key"]))
    assert charged.wax.metal_g == pytest.approx(36.26, abs=0.005)
    assert charged.button_g == pytest.approx(15.0) and charged.charge_g == 51.5
    assert charge_on(row, {row["label"]: charged}) == 51.5 and charge_on(row, {}) == row["charge_g"]


def test_nothing_follows_for_other_waxes_than_were_weighed(one):
    plan, day = one
    label, key = plan["flasks"][0]["label"], plan["flasks"][0]["waxes"][0]["key"]
    assert set(mounted_charges(plan, day, {label: base("3.3", key), "Z": base("3.3", key)})) == {label}
    assert mounted_charges(plan, day, {label: base("3.3", key, "Q1")}) == {}


def test_a_base_is_kept_with_its_digits(day):
    kept = WeighedBase(Decimal("41.480"), Decimal("31.5000"), "7", frozenset({"B1", "A2"}))
    assert kept.as_json() == {"gross_g": "41.48", "base_g": "31.5", "number": "7", "tags": ["A2", "B1"]}
    assert kept.wax_g == Decimal("9.98") and WeighedBase.of(kept.as_json()) == kept
    now = timezone.now()
    StepRecord.objects.create(day=day, do="weighed", what="A", done_at=now, figures=kept.as_json())
    StepRecord.objects.create(day=day, do="quench", what="A", done_at=now)
    assert weighed_bases(day) == {"A": kept}
    assert done_and_weighed(day, "quench", "kiln_on") == ({"quench": {"A": now}, "kiln_on": {}}, {"A": kept})
    assert Plan.objects.count() == 0
