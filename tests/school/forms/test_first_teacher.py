"""What a first teacher says, as the service takes it."""

from school.forms.first_teacher import FirstTeacherForm
from tests.factories import PASSWORD


def test_what_is_said_is_tidied(db):
    typed = {"school": " Salt  Hall", "zone": "UTC", "name": "Odile", "sign_in": "ODILE", "password": PASSWORD}
    form = FirstTeacherForm(typed | {"again": PASSWORD})
    assert form.is_valid(), form.errors
    said = form.founding()
    assert (said.school, said.zone, said.name, said.sign_in) == ("Salt Hall", "UTC", "Odile", "odile")


def test_the_fields_come_in_the_order_in_which_they_are_asked():
    assert list(FirstTeacherForm().fields) == ["school", "zone", "name", "sign_in", "password", "again"]
