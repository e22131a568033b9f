"""The words for sprues: sentences for the student, a note for the teacher."""

from dataclasses import replace

import pytest

from casting.calc.quantities.sprue import sprues_for
from casting.calc.values.enums import Stones
from casting.dayfile.rules_file import rulebook
from casting.presenters.formats import SchoolUnits
from casting.presenters.sprue import bench_note, sprue_sentences
from casting.units import Length
from tests.days.day_input import a_wax

WAX = replace(a_wax("w1"), wax_g=2.0)


def sprues(**changes):
    return sprues_for(replace(WAX, **changes), 0.96, rulebook())


# B&S gauge 8 is 3.264 mm, gauge 9 2.906
@pytest.mark.parametrize(
    ("changes", "sentences"),
    [
        (
            {},
            [
                "Measure its thickest part: a sprue is at least as thick.",
                "Has it thick parts with a thin part between them? Each needs a sprue of its own.",
            ],
        ),
        (
            {"thickest_mm": 3.0, "thick_parts": 1},
            [
                "Make its sprue at least 3\u202fmm thick, like its thickest part, and at most 10\u202fmm long. Set it "
                "on the thickest part. Wax wire of gauge 8 (B&S) is thick enough.",
            ],
        ),
        (
            {"thickest_mm": 9.0, "thick_parts": 2},
            [
                "Make its sprue at least 9\u202fmm thick, like its thickest part, and at most 10\u202fmm long. Set it "
                "on the thickest part.",
                "Give each of its 2 thick parts a sprue. The thin part between sets first and cuts off the metal.",
            ],
        ),
        (
            {"width_mm": 31.0, "thick_parts": 1},
            [
                "Measure its thickest part: a sprue is at least as thick.",
                "It is large: 2 sprues fill it better than one.",
            ],
        ),
        (
            {"stones": Stones.TAKE_FIRING, "thick_parts": 1},
            [
                "Measure its thickest part: a sprue is at least as thick.",
                "Give it 3 sprues round its stones, at 10, 2 and 6 o'clock.",
            ],
        ),
    ],
)
def test_what_is_recorded_is_told_and_what_is_not_is_asked(changes, sentences):
    found = sprues(**changes)
    assert list(sprue_sentences(found, SchoolUnits())) == sentences


def test_the_bench_reads_of_the_waxes_that_somebody_measured():
    assert bench_note(WAX, 0.96, SchoolUnits()) == ""
    assert bench_note(replace(WAX, thickest_mm=3.0), 0.96, SchoolUnits()) == "sprue 3\u202fmm"
    assert bench_note(replace(WAX, thickest_mm=2.4, thick_parts=2), 0.96, SchoolUnits()) == "2 sprues of 2.4\u202fmm"
    assert bench_note(replace(WAX, thick_parts=2), 0.96, SchoolUnits()) == "2 sprues"
    # 2.4 / 25.4 = 0.09
    inches = SchoolUnits(length=Length.INCH)
    assert bench_note(replace(WAX, thickest_mm=2.4), 0.96, inches) == "sprue 0.09\u202fin (2.4\u202fmm)"
