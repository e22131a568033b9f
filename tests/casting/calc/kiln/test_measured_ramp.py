import pytest

from casting.calc.kiln.measured_ramp import measured_ramp
from casting.calc.kiln.night_watch import Reading
from casting.calc.values.day_plan import FiredSegment
from casting.dayfile.rules_file import rulebook

FALL = FiredSegment(150, 538, 120, 557, 635, 755, cooling=True)
CLIMB = FiredSegment(160, 149, 120, 0, 49, 169, cooling=False)


def rate(segment, *readings):
    return measured_ramp(segment, [Reading(at, celsius) for at, celsius in readings], rulebook())


def test_a_fall_between_two_readings():
    # 720 to 640 C in 40 min: 80 / 40 x 60 = 120 C an hour.
    assert rate(FALL, (560, 720), (600, 640)) == 120


def test_a_climb_from_the_first_to_the_last_of_several():
    # 40 to 115 C in 30 min: 150 C an hour, whatever was read between.
    assert rate(CLIMB, (10, 40), (20, 60), (40, 115)) == 150


@pytest.mark.parametrize(
    "readings",
    [
        (),
        ((560, 720),),
        ((560, 720), (579, 682)),  # 19 min apart
        ((540, 732), (560, 720)),  # the first lies before the fall
        ((560, 720), (620, 545)),  # within 10 C of its end: it may have been there for long
        ((560, 640), (600, 660)),  # the wrong way
    ],
)
def test_what_tells_nothing_is_no_rate(readings):
    assert rate(FALL, *readings) is None
