"""Why it cannot be done in fewer: short sentences whose sums a teacher can check by hand."""

from casting.calc.plan_day import plan_day
from casting.calc.values.enums import Section
from tests.days.day_input import a_day, a_wax, sizes


def why(waxes, **more):
    return plan_day(a_day(waxes, flask_sizes=sizes(small=0, tall=0), **more), 1).proof.why


def test_one_reason_stands_behind_because():
    # Five waxes, four to a flask: 5 / 4 is more than one.
    five = [a_wax(f"w{nth}") for nth in range(5)]
    assert why(five) == ("Sterling silver needs 2 flasks: 5 waxes, at most 4 to a flask.")
    assert why(five[:2]) == "One flask is the fewest there can be."


def test_sections_and_owners_that_both_bind_are_summed_one_by_one():
    # The school's: five very thin, four to a flask, are 2; a heavy one stands three steps away: 1. Ada 1, Bo 1.
    waxes = [a_wax(f"t{nth}", section=Section.VERY_THIN) for nth in range(5)]
    waxes += [a_wax("h", section=Section.HEAVY), a_wax("a", owner="Ada"), a_wax("b", owner="Bo")]
    assert why(waxes) == (
        "Sterling silver needs 5 flasks: metals of different owners share no flask. "
        "The school's metal needs 3 flasks. Waxes of very different thickness share no flask: "
        "at least 2 (5 waxes, at most 4 to a flask) and at least 1. "
        "A student's own metal needs 1 flask for each of 2 students. "
        "3 + 1 + 1 = 5."
    )


def test_kinds_are_named_when_they_part_the_waxes():
    waxes = [a_wax(f"w{nth}") for nth in range(5)] + [a_wax("r", pattern="resin")]
    assert why(waxes) == (
        "Sterling silver needs 3 flasks: resin prints and waxes share no flask. "
        "The resin prints need 1 flask. The waxes need 2 flasks: 5 waxes, at most 4 to a flask. 1 + 2 = 3."
    )
    both = why([*waxes, a_wax("a", owner="Ada")])
    assert "4 flasks: metals of different owners share no flask, nor do resin prints and waxes. In the school" in both
    assert "In the school's metal the waxes need 2 flasks" in both and both.endswith("1 + 2 + 1 = 4.")


def test_what_is_left_out_and_what_stays_is_in_the_sum():
    # 12 / 0.96 x 10.36 = 129.5 g each: no two in a melt of 198.5 g; two flasks stand on the shelf.
    big = [a_wax(f"w{nth}", wax_g=12.0, width_mm=20, depth_mm=20) for nth in range(3)]
    few = sizes(small=0, tall=0, middle=2)
    said = plan_day(a_day(big, flask_sizes=few), 1).proof.why
    assert said.endswith("1 wax left out may save 1 flask. 3 - 1 = 2.")


def test_waxes_that_cannot_share_a_flask_are_named_with_what_parts_them():
    pair = [a_wax("E4", section=Section.HEAVY), a_wax("F5", section=Section.THIN)]
    said = "Sterling silver needs 2 flasks: "
    assert why(pair) == f"{said}E4 (heavy) and F5 (thin) cannot share one."
    assert why([a_wax("w1"), a_wax("w2")], held={"w1": "A", "w2": "B"}) == f"{said}w1 and w2 cannot share one."


def test_metals_that_need_a_flask_each_are_said_once():
    two = [a_wax("w1"), a_wax("w2", alloy="bronze")]
    assert why(two) == "Each metal needs its own flask."
