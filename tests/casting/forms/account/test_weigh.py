"""The boxes of a flask's page: one for each heap and each casting, and only what is filled in counts."""

import uuid
from decimal import Decimal as D

from django.utils import timezone

from casting.forms.account.weigh import SettleForm, WeighBackForm, WeighOutForm
from casting.models import Recast
from casting.presenters.account.day import stock_for
from casting.selectors.account.flasks import planned_flask
from casting.services.account.flasks import Back
from casting.units import Mass
from tests.casting.account_days import lot_of


def typed(**boxes):
    return {"key": str(uuid.uuid4())} | boxes


def test_a_box_for_each_heap(planned, teacher, school):
    one, other = (lot_of(school, teacher, grams=grams) for grams in ("100", "60"))
    heaps = stock_for(planned_flask(planned, "A"), school)
    form = WeighOutForm(typed(**{f"from_{one.pk}": "59,5"}), accounts=heaps, unit=Mass.GRAM)
    assert form.is_valid() and form.weights_g == {one.pk: D("59.5")}
    assert [(box.label, held) for box, _account, held in form.boxes] == [("Lot 1, g", D(100)), ("Lot 2, g", D(60))]
    assert other in heaps


def test_a_box_for_each_casting_that_is_not_weighed(planned):
    waxes = planned_flask(planned, "A").waxes
    boxes = {f"wax_{waxes[0].pk}": "21.5", f"wax_{waxes[1].pk}": "0", "button": "6,5", "sweeps": ""}
    form = WeighBackForm(typed(**boxes), waxes=waxes[:2], unit=Mass.PENNYWEIGHT)
    assert form.is_valid() and [wax for _box, wax in form.boxes] == list(waxes[:2])
    # 21.5 and 6.5 dwt of 1.55517384 g
    assert form.back == Back({waxes[0].pk: D("33.4362")}, D("10.1086"), None, None)


def test_a_tick_for_what_did_not_come_out(planned):
    waxes = planned_flask(planned, "A").waxes
    form = SettleForm(typed(**{f"gone_{waxes[1].pk}": "on"}), waxes=waxes)
    assert form.is_valid() and form.not_cast == [waxes[1].tag] and len(form.boxes) == 3


def test_what_a_mishap_lost_is_ticked_already(planned):
    waxes = planned_flask(planned, "A").waxes
    for wax, fate in zip(waxes, ("again", "look"), strict=False):
        Recast.objects.create(wax=wax, fate=fate, at=timezone.now())
    form = SettleForm(waxes=planned_flask(planned, "A").waxes)
    assert [box.value() for box in form.boxes] == [True, False, False]
