"""Where a figure is from, as a page says it: without a supplier's name, in the reader's language."""

from django.utils.translation import override

from casting.dayfile.source_words import source_sentence, without_memory
from casting.presenters.formats import SchoolUnits
from casting.presenters.wording import in_units
from casting.units import Temperature

REMEMBERED = "from memory: 830\u2007°C to 850\u2007°C; take it from the supplier's sheet"


def said(sentence, language="es", **units):
    with override(language):
        return in_units(sentence, SchoolUnits(**units))


def test_a_source_is_the_same_text_in_english():
    assert source_sentence(REMEMBERED) == REMEMBERED and source_sentence("from memory") == "from memory"
    assert source_sentence("mendeleev 1.3.0; periodictable 2.1.0 gives 10.5") == (
        "a library of the elements; another gives 10.5"
    )


def test_a_source_is_said_in_spanish_in_the_school_s_units():
    assert said(source_sentence(REMEMBERED)) == (
        "de memoria: de 830\u202f°C a 850\u202f°C; tómalo de la hoja del proveedor"
    )
    # 830 C is 1526 F, 850 C is 1562 F
    assert said(without_memory(REMEMBERED), temperature=Temperature.FAHRENHEIT) == "de 1526\u202f°F a 1562\u202f°F"
    assert said(source_sentence("mendeleev 1.3.0; periodictable 2.1.0 gives 10.5")).endswith("otra da 10,5")


def test_a_figure_from_memory_alone_says_nothing_more():
    assert without_memory("from memory") == "" and said(without_memory("from memory")) == ""


def test_what_a_school_typed_as_a_source_stays():
    assert said(source_sentence("Our caster's notebook {1998}")) == "Our caster's notebook {1998}"
