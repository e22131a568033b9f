"""Clearing a caution for a day, with a name and a reason."""

import pytest

from casting.models import CautionCleared, SafetyRecord
from casting.presenters.opened_plan import OpenedPlan
from casting.services.cautions import NotCleared, clear, take_back
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def record(day, **facts):
    SafetyRecord.objects.filter(school=day.course.school).update(**facts)


@pytest.fixture
def plan(day, teacher, student):
    handed_in(day, student)
    return make_plan(day, teacher)


def ids(cautions):
    return {caution.id for caution in cautions}


def test_clearing_takes_a_name_and_a_reason_and_lets_the_plan_go(day, plan):
    record(day, first_aider=False)
    (stop,) = OpenedPlan(plan).held_back
    for by, reason in (("", "there"), ("Imre Valdane", "  ")):
        with pytest.raises(NotCleared):
            clear(day, stop.id, by=by, reason=reason)
    clear(day, stop.id, by="Imre Valdane", reason="Sunniva Okoro is one")
    assert OpenedPlan(plan).held_back == ()
    (cleared,) = [caution for caution in OpenedPlan(plan).cautions if caution.cleared_by]
    assert (cleared.id, cleared.cleared_by, cleared.reason) == ("R-35", "Imre Valdane", "Sunniva Okoro is one")


def test_the_second_teacher_to_clear_is_told_what_the_first_wrote(day, plan):
    record(day, first_aider=False)
    clear(day, "R-35", by="Imre Valdane", reason="first")
    clear(day, "R-35", by="Imre Valdane", reason="first")  # pressed twice
    with pytest.raises(NotCleared) as told:
        clear(day, "R-35", by="Nadia Ferro", reason="second")
    assert told.value.sentence == "Imre Valdane has cleared this meanwhile: “first”. That stands on the sheets."
    assert (CautionCleared.objects.get().by, CautionCleared.objects.get().reason) == ("Imre Valdane", "first")


def test_a_clearance_is_taken_back_and_stops_the_plan_at_once_with_who_and_when(day, plan, teacher):
    record(day, first_aider=False)
    (stop,) = OpenedPlan(plan).held_back
    clear(day, stop.id, by="Nadia Ferro", reason="Sunniva Okoro is one")
    take_back(day, stop.id, by=teacher, text=stop.text)
    (again,) = OpenedPlan(plan).held_back
    assert (again.id, again.cleared_by, again.cleared_at) == ("R-35", None, None)
    assert (again.taken_back.by, again.taken_back.taken_back_by) == ("Nadia Ferro", teacher.name)
    assert again.taken_back.taken_back_at is not None
    with pytest.raises(NotCleared, match="Nobody clears that one now"):
        take_back(day, stop.id, by=teacher, text=stop.text)  # pressed twice
    clear(day, stop.id, by="Imre Valdane", reason="she is back")
    (cleared,) = [caution for caution in OpenedPlan(plan).cautions if caution.cleared_by]
    assert (cleared.cleared_by, cleared.taken_back) == ("Imre Valdane", None)
    assert CautionCleared.objects.count() == 2  # what was taken back stays


def test_only_the_clearance_in_these_words_is_taken_back(day, plan, teacher):
    record(day, first_aider=False)
    clear(day, "R-35", by="Imre Valdane", reason="Sunniva Okoro is one")
    with pytest.raises(NotCleared):
        take_back(day, "R-35", by=teacher, text="Other words.")
    assert OpenedPlan(plan).held_back == ()


def test_what_was_cleared_is_asked_anew_when_its_words_change(day, plan):
    record(day, first_aider=False)
    clear(day, "R-35", by="Imre Valdane", reason="Sunniva Okoro is one")
    record(day, extinguisher=False)
    assert ids(OpenedPlan(plan).held_back) == {"R-35"}


@pytest.mark.parametrize("never", ["R-21", "N-07", "N-10"])
def test_nobody_clears_a_wet_flask_a_red_button_or_old_slurry(day, plan, never):
    with pytest.raises(NotCleared, match="cannot be cleared"):
        clear(day, never, by="Imre Valdane", reason="it looks dry")
    assert not CautionCleared.objects.exists()


@pytest.mark.parametrize("never", ["R-35", "R-99"])
def test_what_does_not_stand_is_not_cleared(day, plan, never):
    with pytest.raises(NotCleared, match="is gone"):
        clear(day, never, by="Imre Valdane", reason="why not")


def test_a_name_or_a_reason_too_long_for_a_sheet_is_refused(day, plan):
    record(day, first_aider=False)
    with pytest.raises(NotCleared, match="under 80"):
        clear(day, "R-35", by="I" * 81, reason="there")
