"""Sentences of the core in the reader's language, with figures by the road of every figure."""

from django.utils.translation import override

from casting.calc.cautions.rulebook import raised
from casting.calc.values.sentence import from_json, plain, say, to_json
from casting.dayfile.rules_file import rulebook
from casting.presenters.formats import SchoolUnits, in_units
from casting.presenters.wording import catalogue, own_decimals, reworded
from casting.units import Temperature

HOT = raised(rulebook(), "R-12-hot", alloy="yellow brass", pour=1120.5).text


def test_english_stays_as_the_plan_has_it():
    with override("en"):
        assert reworded(HOT) == str(HOT) and own_decimals("1.5") == "1.5"


def test_a_caution_is_said_in_spanish_with_its_metal_and_its_decimal_sign():
    with override("es"):
        said = in_units(from_json(str(HOT), to_json(HOT)), SchoolUnits())
        assert said.startswith("No viertas latón amarillo a 1120,5\u00a0°C en este revestimiento. Por encima de 1100")
        in_fahrenheit = in_units(HOT, SchoolUnits(temperature=Temperature.FAHRENHEIT))
    # 1120.5 C is 2048.9 F, over its limit, so up; 1100 C is 2012 F.
    assert "2049\u00a0°F" in in_fahrenheit and "2012" in in_fahrenheit


def test_a_school_s_own_names_stay_and_a_difference_has_its_word():
    above = raised(rulebook(), "N-15-warn", alloy="Bronze 92.5", superheat=120.0, limit=100.0).text
    with override("es"):
        said = in_units(above, SchoolUnits())
    assert "Bronze 92.5" in said and "120\u00a0grados C" in said


def test_about_a_figure_is_in_tens_in_spanish_too():
    shut = raised(rulebook(), "door-shut").text
    # 450 C is 842 F, a limit to be reached, so up to the next ten.
    with override("es"):
        assert "unos 850\u00a0°F" in in_units(shut, SchoolUnits(temperature=Temperature.FAHRENHEIT))


def test_what_nobody_has_translated_stays_english():
    with override("es"):
        assert reworded(plain("A line of a program to come.")) == "A line of a program to come."
        assert reworded(say("{n} things of it", n=1.5)) == "1,5 things of it"
        assert reworded("Sat") == "Sat" and reworded(say("Sat")) == "sáb"
    assert catalogue("fr").gettext("Sat") == "Sat"
