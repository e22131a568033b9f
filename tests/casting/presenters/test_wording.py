"""Sentences of the core in the reader's language, with figures by the road of every figure."""

from django.utils.translation import override

from casting.calc.cautions.rulebook import raised
from casting.calc.values.marked_text import flask_size
from casting.calc.values.sentence import from_json, plain, say, to_json
from casting.dayfile.rules_file import rulebook
from casting.presenters.formats import SchoolUnits
from casting.presenters.wording import catalogue, in_units, reworded
from casting.units import Length, Mass, Temperature

HOT = raised(rulebook(), "R-12-hot", alloy="yellow brass", pour=1120.5).text


def test_english_stays_as_the_plan_has_it():
    with override("en"):
        assert reworded(HOT) == str(HOT)


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


METRIC = SchoolUnits()
INCHES = SchoolUnits(Mass.TROY_OUNCE, Temperature.FAHRENHEIT, Length.INCH)


def test_a_flask_without_a_name_is_told_by_its_measures_in_the_schools_units():
    marked = f"Ask whether flask B ({flask_size(50.8, 63.5)}, resin) can wait."
    assert in_units(marked, INCHES) == "Ask whether flask B (2 × 2½ in, resin) can wait."
    assert in_units(marked, METRIC) == "Ask whether flask B (50.8 × 63.5\u202fmm, resin) can wait."
    typed = "Tray 50.8 × 63.5 mm"
    assert in_units(typed, INCHES) == typed


# 1350 F is (1350 - 32) / 1.8 = 732.222 C
def test_a_limit_that_was_typed_in_fahrenheit_is_the_same_limit_again():
    fahrenheit = SchoolUnits(Mass.GRAM, Temperature.FAHRENHEIT)
    assert in_units("732.222\u202f°C", fahrenheit) == "1350\u202f°F"
    assert in_units("732.223\u00a0°C", fahrenheit) == "1350\u00a0°F"
    assert in_units("732.3\u00a0°C", fahrenheit) == "1351\u00a0°F"


def test_a_length_of_a_sentence_is_read_in_inches_in_both_languages_and_a_typed_one_stays():
    tray = say(
        "{name} is {high_mm:.1f} mm high; {wide_mm} x {deep_mm} mm.",
        name="Tray 50 mm",
        high_mm=63.5,
        wide_mm=22,
        deep_mm=8,
    )
    # 63.5 / 25.4 = 2.5, 22 / 25.4 = 0.87, 8 / 25.4 = 0.31
    assert in_units(tray, INCHES) == "Tray 50 mm is 2.5\u202fin (63.5 mm) high; 0.87 x 0.31\u202fin (22 x 8 mm)."
    assert in_units(tray, METRIC) == "Tray 50 mm is 63.5 mm high; 22 x 8 mm."
    tall = say("{height_mm} mm tall; the tallest flask takes {tallest_mm:.1f} mm.", height_mm=88, tallest_mm=69.5)
    with override("es"):
        # 88 / 25.4 = 3.46, 69.5 / 25.4 = 2.74
        said = in_units(from_json(str(tall), to_json(tall)), INCHES)
        assert said == "Mide 3,46\u202fin (88 mm) de alto; en el cilindro más alto caben 2,74\u202fin (69,5 mm)."
        assert in_units(tall, METRIC) == "Mide 88 mm de alto; en el cilindro más alto caben 69,5 mm."


def test_a_caution_has_its_lengths_in_inches():
    wall = in_units(raised(rulebook(), "N-13-wall", wall=4.5).text, INCHES)
    # 6 / 25.4 = 0.24, 4.5 / 25.4 = 0.18
    assert "Leave 0.24\u202fin (6 mm) of investment" in wall and "only 0.18\u202fin (4.5 mm) is set" in wall
