"""The form of the price list, as typed and as read."""

from decimal import Decimal as D

from casting.calc.quantities.account.bill import Prices
from casting.forms.account.prices import PricesForm, typed_prices
from casting.models import Alloy


def test_prices_go_to_and_fro(day, school):
    metals = list(Alloy.objects.at(school))
    prices = Prices({"sterling": D("1.605"), "gold-14k": D(0)}, D(6), D(0), D("20.5"), D(0))
    boxes = typed_prices(prices, metals, 3)
    form = PricesForm({name: str(value) for name, value in boxes.items()}, metals=metals)
    assert form.is_valid() and form.prices == prices and form.cleaned_data["version"] == 3
    assert typed_prices(None, metals, 0) == {"version": 0} and len(form.grams) == len(metals)
