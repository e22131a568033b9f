"""What is said of several metals alike is said once, with all of them named."""

from dataclasses import replace

from casting.calc.cautions.rulebook import raised
from casting.calc.values.enums import Asked, Level
from casting.dayfile.rules_file import rulebook
from casting.presenters.cautions import ShownCaution
from casting.presenters.told_once import told_once


def shown(id, **words):
    text = raised(rulebook(), id, **words).text
    return ShownCaution(id, Level.SAY, Asked.MELT, text, "basis", text, (), False)


def test_metals_of_one_sentence_are_named_in_it_together():
    brass, gold, torch = shown("R-01b", alloy="Yellow brass"), shown("R-01b", alloy="gold"), shown("R-16b")
    found = told_once([brass, torch, gold, brass])
    assert [one.metals for one in found] == [("Yellow brass", "gold"), ()]
    assert [one.text for one in found] == [
        "Do not melt Yellow brass, gold until the fume fan is on. Each contains zinc, or its recipe is not recorded.",
        torch.text,
    ]


def test_one_metal_other_words_and_what_was_cleared_for_one_stay_as_they_are():
    brass, smoke = shown("R-01a", alloy="Yellow brass"), shown("R-02", alloy="Yellow brass")
    cleared = replace(shown("R-02", alloy="Copper"), cleared_by="Ada", reason="none is melted")
    unlike = [shown("R-05", alloy="Scrap", parts="zinc"), shown("R-05", alloy="Find", parts="nickel")]
    assert told_once(every := [brass, smoke, cleared, *unlike]) == every
