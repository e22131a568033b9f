"""A figure of past days taken as the default: the shelf says so, and its own page puts the usual one back."""

import pytest

from casting.models import HouseRules
from casting.models.equipment import usual_rule
from casting.models.errors import NotPlanned
from casting.presenters.figure_words import Reader
from casting.presenters.looking_back.learned import line_of
from casting.presenters.looking_back.topics import topics_of
from casting.presenters.sources import told
from casting.services.looking_back.learning import take
from casting.services.shelf import change
from tests.casting.account_days import lot_of
from tests.casting.past_days import three_days

pytestmark = pytest.mark.django_db


@pytest.fixture
def button(planned, school, teacher):
    three_days(planned, lot_of(school, teacher, grams="2000"), teacher)
    return line_of(topics_of(school), "button-medium")


def test_it_is_a_house_rule_whose_source_are_the_school_s_own_days(button, school, teacher):
    row = take(button, 18.5, by=teacher)
    row.refresh_from_db()
    assert row.button_pct == usual_rule("button_pct") | {"medium": 18.5}
    source, worth, _remembered = told(Reader(school), row.told["button_pct.medium"])
    assert source.startswith("The school's own days, n = 3 (Imre Valdane), 20") and worth == "the school's own"
    assert "own days" not in row.told["button_pct.heavy"]["source"]
    # As any house rule it is put back: the usual figure has the usual source.
    back = change(row, {"button_pct": usual_rule("button_pct")}, row.version, teacher)
    assert "own days" not in back.told["button_pct.medium"]["source"]


def test_another_figure_than_the_offered_one_is_not_taken(button, teacher):
    for offered in (18.4, 0.0):
        with pytest.raises(NotPlanned, match="have changed since"):
            take(button, offered, by=teacher)
    row = HouseRules.objects.get(pk=button.take.row.pk)
    assert row.button_pct == usual_rule("button_pct")


def test_a_rule_that_somebody_changed_meanwhile_is_not_written_over(button, teacher):
    row = HouseRules.objects.get(pk=button.take.row.pk)
    change(row, {"pour_min": 7}, row.version, teacher)
    with pytest.raises(NotPlanned, match="have changed since"):
        take(button, 18.5, by=teacher)
    row.refresh_from_db()
    assert row.pour_min == 7 and row.button_pct == usual_rule("button_pct")
