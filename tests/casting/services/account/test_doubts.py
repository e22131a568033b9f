"""What is asked about before it is booked, and what is not."""

from decimal import Decimal as D

import pytest

from casting.models import Transfer
from casting.services.account.book import Doubted
from casting.services.account.flasks import Back, weigh_back, weigh_out


def test_grams_that_were_read_in_pennyweights_are_asked_about(planned, flask, lot, teacher):
    """By hand: 119.5 g are 119.5 / 1.55517384 = 76.84 dwt."""
    with pytest.raises(Doubted, match=r"76\.84.* are weighed out .* was read in pennyweights\?") as doubt:
        weigh_out(planned, flask.label, {lot.pk: D("76.84")}, by=teacher)
    assert not Transfer.objects.filter(what="fresh").exists()
    weigh_out(planned, flask.label, {lot.pk: D("76.84")}, by=teacher, seen=doubt.value.seen)
    with pytest.raises(Doubted, match=r"Is it another's\? Is it written in pennyweights"):
        weigh_back(planned, flask.label, Back({flask.waxes[0].pk: D("53.7")}), by=teacher)  # 34.53 x 1.555


def test_what_is_near_the_plan_is_not_asked_about(planned, flask, lot, teacher):
    weigh_out(planned, flask.label, {lot.pk: flask.charge_g * D("1.04")}, by=teacher)
    weigh_back(planned, flask.label, Back({flask.waxes[0].pk: D("34.5")}), by=teacher)
    assert Transfer.objects.filter(wax=flask.waxes[0]).get().amount == D("34.5")


def test_a_doubt_is_seen_only_as_it_was_told(planned, flask, lot, teacher):
    with pytest.raises(Doubted) as doubt:
        weigh_out(planned, flask.label, {lot.pk: D("150")}, by=teacher)
    with pytest.raises(Doubted):
        weigh_out(planned, flask.label, {lot.pk: D("160")}, by=teacher, seen=doubt.value.seen)
