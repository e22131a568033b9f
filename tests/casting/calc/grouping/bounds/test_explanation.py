"""Why it cannot be done in fewer: short sentences whose sums a teacher can check by hand."""

from casting.calc.plan_day import plan_day
from casting.calc.values.enums import Section
from tests.casting.calc.days import a_day, a_wax, sizes


def why(waxes, **more):
    return plan_day(a_day(waxes, flask_sizes=sizes(small=0, tall=0), **more), 1).proof.why


def test_one_reason_stands_behind_because():
    # Five waxes, four to a flask: 5 / 4 is more than one.
    five = [a_wax(f"w{nth}") for nth in range(5)]
    assert why(five) == (
        "Sterling silver cannot be done in fewer than 2 flasks, because 5 waxes, at most 4 to a flask."
    )
    assert why(five[:2]) == "Sterling silver cannot be done in fewer than 1 flask, because 2 waxes need one."


def test_sections_and_owners_that_both_bind_are_summed_one_by_one():
    # The school's: five very thin, four to a flask, are 2; a heavy one stands three steps away: 1. Ada 1, Bo 1.
    waxes = [a_wax(f"t{nth}", section=Section.VERY_THIN) for nth in range(5)]
    waxes += [a_wax("h", section=Section.HEAVY), a_wax("a", owner="Ada"), a_wax("b", owner="Bo")]
    assert why(waxes) == (
        "Sterling silver cannot be done in fewer than 5 flasks, because metals of different owners share no flask. "
        "The school's metal needs 3 flasks. Sections too far apart share no flask: "
        "at least 2, as 5 waxes, at most 4 to a flask; at least 1, as 1 wax, at most 4 to a flask. "
        "A student's own metal needs 1 flask for each of 2 students. "
        "3 + 1 + 1 = 5."
    )


def test_kinds_are_named_when_they_part_the_waxes():
    waxes = [a_wax(f"w{nth}") for nth in range(5)] + [a_wax("r", pattern="resin")]
    assert why(waxes) == (
        "Sterling silver cannot be done in fewer than 3 flasks, because resin and wax pieces share no flask. "
        "Resin needs 1 flask. Wax needs 2 flasks: 5 waxes, at most 4 to a flask. 1 + 2 = 3."
    )
    both = why([*waxes, a_wax("a", owner="Ada")])
    assert "because metals of different owners share no flask, nor do resin and wax pieces. The school" in both
    assert "The school's metal in wax needs 2 flasks" in both and both.endswith("1 + 2 + 1 = 4.")


def test_what_is_left_out_and_what_stays_is_in_the_sum():
    # 12 / 0.96 x 10.36 = 129.5 g each: no two in a melt of 198.5 g; one flask stands on the shelf.
    big = [a_wax(f"w{nth}", wax_g=12.0, width_mm=20, depth_mm=20) for nth in range(2)]
    few = sizes(small=0, tall=0, middle=1)
    said = plan_day(a_day(big, flask_sizes=few), 1).proof.why
    assert said.endswith("1 wax left out may save one. 2 - 1 = 1.")
