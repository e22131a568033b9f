"""The casting days hear of what happens in a school."""

from casting.models import Alloy, FlaskSize, Investment
from school.models import School
from school.signals import school_made


def test_a_new_school_has_a_stocked_shelf(school):
    assert not Alloy.objects.filter(school=school).exists()
    school_made.send(sender=School, school=school)
    for rows in (Alloy, FlaskSize, Investment):
        assert rows.objects.filter(school=school).exists()
