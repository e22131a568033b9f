"""Papers in people's hands whose times the day no longer keeps."""

from casting.models import PaperPrinted, Plan
from casting.papers.running_late import out_of_time


def test_only_what_was_printed_and_tells_when_flasks_are_poured_is_named(planned, teacher):
    plan = Plan.objects.latest_of(planned)
    assert out_of_time(plan) == []
    for key in ("mix", "slips", "kiln-room", "kiln-room", "day-plan"):
        PaperPrinted.objects.create(day=planned, key=key, revision=1, by=teacher)
    assert out_of_time(plan) == ["Day plan", "Kiln-room schedule"]
