from django.utils import timezone

from casting.calc.values.mishap import Fate, Left, Mishap
from casting.models import FlaskMishap, Recast
from tests.casting_factories import handed_in


def test_the_words_are_of_the_kinds_answers_and_fates_there_are():
    assert {str(one) for one in FlaskMishap.Kind} == {str(one) for one in Mishap}
    assert {str(one) for one in FlaskMishap.Left} == {str(one) for one in Left}
    assert {str(one) for one in Recast.Fate} == {str(one) for one in Fate}


def test_the_list_is_of_the_school_and_who_waits_longest_is_first(day, student, teacher, other_teacher):
    now, waxes = timezone.now(), [handed_in(day, student) for _nth in range(2)]
    late = Recast.objects.create(wax=waxes[0], fate="again", at=now)
    soon = Recast.objects.create(wax=waxes[1], fate="look", at=now.replace(year=2020))
    assert list(Recast.objects.of(teacher).in_turn()) == [soon, late]
    assert not Recast.objects.of(other_teacher).exists()
    assert str(late).endswith("again") and str(FlaskMishap(label="A", kind="leaked")) == "A leaked"
