"""The metal of a flask: worked sheets by hand, and nothing from nothing at any sequence of weighings."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from casting.calc.quantities.account.balance import (
    FlaskMetal,
    fresh_pct,
    loss_most_pct,
    melts_after,
    melts_most,
    read_in_other_unit,
)
from casting.dayfile.rules_file import rulebook

STERLING, GOLD, BRONZE = {"Ag": 92.5, "Cu": 7.5}, {"Au": 58.5, "Ag": 25.0, "Cu": 16.5}, {"Cu": 95.8, "Si": 4.2}


def test_a_whole_day_by_hand():
    """Worked on paper, flask by flask, and down the columns as a second way.

          charge  castings  button  sprues  sweeps   back    lost
    A      27.00     16.30    9.35    1.05    0.15   26.85   0.15
    B      24.00     12.75    9.90    1.10    0.10   23.85   0.15
    C      47.50     30.20   14.60    2.25    0.20   47.25   0.25
    D      88.00     61.85   22.40    3.00    0.35   87.60   0.40
    sum   186.50    121.10   56.25    7.40    0.80  185.55   0.95
    """
    rows = [
        ("27.00", "16.30", "9.35", "1.05", "0.15", "26.85", "0.15"),
        ("24.00", "12.75", "9.90", "1.10", "0.10", "23.85", "0.15"),
        ("47.50", "30.20", "14.60", "2.25", "0.20", "47.25", "0.25"),
        ("88.00", "61.85", "22.40", "3.00", "0.35", "87.60", "0.40"),
    ]
    for row in rows:
        *weighed, back, lost = map(D, row)
        flask = FlaskMetal(*weighed)
        assert (flask.back_g, flask.left_g) == (back, lost)
    columns = [sum(map(D, column)) for column in zip(*rows, strict=True)]
    assert columns == [D(one) for one in ("186.50", "121.10", "56.25", "7.40", "0.80", "185.55", "0.95")]
    assert FlaskMetal(*columns[:5]).left_g == columns[6]


def test_a_lost_flask_by_hand():
    """47.50 g went in and broke through the bottom: 31.20 g were picked up with plaster in it, the rest is lost."""
    flask = FlaskMetal(D("47.50"), sweeps_g=D("31.20"))
    assert (flask.left_g, flask.piece_yield_pct) == (D("16.30"), 0)
    assert round(flask.left_pct, 2) == D("34.32")  # 16.30 / 47.50
    assert flask.left_pct > loss_most_pct(GOLD, rulebook())


def test_two_melts_of_scrap_by_hand():
    """22.50 fresh, 13.00 of buttons melted once, 9.50 of sprues melted twice: half is fresh, and all has seen three."""
    assert fresh_pct(D("22.50"), D("13.00") + D("9.50")) == 50
    assert melts_after([0, 1, 2]) == 3
    assert melts_after([0]) == melts_after([]) == 1


weights = st.decimals(min_value=0, max_value=500, places=4)


@given(weights, st.lists(st.tuples(st.sampled_from(["castings_g", "button_g", "sprues_g", "sweeps_g"]), weights)))
def test_what_goes_in_comes_out_or_is_lost(charge_g, weighed):
    parts: dict[str, D] = {}
    for name, weight_g in weighed:
        parts[name] = parts.get(name, D(0)) + weight_g
    flask = FlaskMetal(charge_g, **parts)
    assert flask.charge_g == sum(parts.values(), D(0)) + flask.left_g
    if charge_g:
        assert abs(flask.recovery_pct + flask.left_pct - 100) < D("1e-15")


@given(st.lists(st.integers(0, 9), min_size=1), st.integers(0, 9))
def test_metal_never_gets_younger(melts, more):
    assert melts_after([*melts, more]) >= melts_after(melts) > max(melts)


def test_no_charge_has_no_shares():
    empty = FlaskMetal(D(0))
    assert (empty.left_pct, empty.piece_yield_pct, empty.recovery_pct, fresh_pct(D(0), D(0))) == (0, 0, 0, 0)


@pytest.mark.parametrize(
    ("parts", "most"),
    [
        (GOLD, 1),  # from memory, low confidence: gold 1 %, silver 2, brass and bronze 3
        (STERLING, 2),
        (BRONZE, 3),
        ({}, 1),  # nobody knows what it is: the narrowest
        ({"Ag": None, "Cu": 7.5}, 3),
    ],
)
def test_the_loss_that_is_looked_for(parts, most):
    assert loss_most_pct(parts, rulebook()) == most


@pytest.mark.parametrize(
    ("weighed", "expected", "unit"),
    [
        # one pennyweight is 1.55517384 g: 27 g are 17.36 dwt, and 17.36 g are 11.16 dwt
        ("17.36", "27", "dwt"),
        ("17.0", "27", "dwt"),
        ("42.0", "27", "g"),
        ("27", "27", ""),
        ("26", "27", ""),
        ("20", "27", ""),
        ("0", "27", ""),
        ("17.36", "0", ""),
    ],
)
def test_a_weight_read_in_another_unit_is_known_by_its_factor(weighed, expected, unit):
    assert read_in_other_unit(D(weighed), D(expected), rulebook()) == unit


@pytest.mark.parametrize(
    ("parts", "most"),
    [(STERLING, 2), ({"Au": 58.5, "Ni": 8.0}, 1), ({"Au": 58.5, "Ni": None}, 1), ({}, 1), ({"Ni": 0, "Ag": 100}, 2)],
)
def test_how_often_metal_may_have_been_melted(parts, most):
    """From memory: two to three melts, then refine; nickel white earlier. What nobody knows counts as with nickel."""
    assert melts_most(parts, rulebook()) == most
