"""The metal account against the check rows: balances of a flask, losses to look into, shares of fresh metal."""

from decimal import Decimal as D

from casting.calc.quantities.account.balance import FlaskMetal, fresh_pct, loss_most_pct, melts_most
from casting.dayfile.rules_file import rulebook
from tests.reference.rows import Row, checks

PARTS = {
    "gold": {"Au": 75.0, "Ag": 12.5, "Cu": 12.5},
    "silver": {"Ag": 92.5, "Cu": 7.5},
    "brass": {"Cu": 85.0, "Zn": 15.0},
}


def decimal(given, name):
    return D(repr(given.get(name, 0)))


@checks("metal_balance", "MB-ID", "MB-YD")
def test_a_flask_balances(row: Row):
    # computed: charge = pieces + sprue and button + sweeps + loss
    # computed: loss / charge; computed: pieces / charge; computed: (charge - loss) / charge
    given = row.inputs
    flask = FlaskMetal(
        decimal(given, "charge_g"), decimal(given, "pieces_g"), decimal(given, "sprue_button_g"),
        sweeps_g=decimal(given, "sweeps_g"),
    )  # fmt: skip
    if "loss_g" in given:
        flask = FlaskMetal(decimal(given, "charge_g"), decimal(given, "charge_g") - decimal(given, "loss_g"))
    found = {
        "loss": flask.left_g, "loss_share": flask.left_pct,
        "piece_yield": flask.piece_yield_pct, "metal_recovery": flask.recovery_pct,
    }  # fmt: skip
    row.check(float(found[row.quantity]))


@checks("metal_balance", "MB-LIM")
def test_a_loss_is_looked_for_from_here(row: Row):
    # from memory, not seen (low confidence)
    row.check(float(loss_most_pct(PARTS[row.subject.rpartition(", ")[2]], rulebook())))


@checks("metal_balance", "MB-FRESH-001", "MB-FRESH-002")
def test_half_of_a_charge_is_fresh(row: Row):
    # source: Stuller, "Silver comparisons", and Stuller, "General casting tips for karat golds"
    row.check(rulebook().limit("fresh_least_pct"))


@checks("metal_balance", "MB-FRESH-004", "MB-FRESH-005")
def test_metal_is_melted_so_often(row: Row):
    # source: iShor (refining supplier), re-cast instructions, for nickel white; any scrap lot from memory, not seen
    nickel = "nickel" in row.subject
    row.check(melts_most({"Au": 58.5, "Ni": 8.0} if nickel else PARTS["silver"], rulebook()))


@checks("metal_balance", "MB-RES-001")
def test_a_hundredth_of_a_charge_is_lost(row: Row):
    # computed: arithmetic
    given = row.inputs
    row.check(float(decimal(given, "charge_g") * decimal(given, "loss_pct") / 100))


def test_a_share_is_of_both():
    assert fresh_pct(D(30), D(10)) == 75
