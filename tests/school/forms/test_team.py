"""The forms of a school's people."""

from school.forms.team import InviteForm, MyNameForm, MyPasswordForm
from tests.factories import PASSWORD


def test_a_helper_is_proposed_and_no_other_role_is_taken():
    assert InviteForm()["role"].value() == "helper"
    assert InviteForm({"name": "Nadia", "role": "teacher"}).is_valid()
    assert not InviteForm({"name": "Nadia", "role": "administrator"}).is_valid()


def test_a_spelling_may_stay_empty():
    assert MyNameForm({"name": "Nadia", "spelled": ""}).is_valid()


def test_a_password_is_measured_against_whose_it_is(teacher):
    alike = {"old": PASSWORD, "password": "imre valdane", "again": "imre valdane"}
    assert "password" in MyPasswordForm(alike, person=teacher).errors
    teacher.name = "Odile"
    assert MyPasswordForm(alike, person=teacher).is_valid()
