"""Fields that several forms share."""

import pytest

from school.forms.doors import CameBackForm, ClassCodeForm, JoinForm, SpellingForm


@pytest.mark.parametrize("typed", ["tw0o-1i", " TW00 11 ", "tw-00.1l"])
def test_a_code_is_read_as_it_is_stored(typed):
    form = ClassCodeForm({"code": typed})
    assert form.is_valid(), form.errors
    assert form.cleaned_data["code"] == "TW0011"


@pytest.mark.parametrize("typed", ["TW001", "TW00111", "---"])
def test_a_code_of_another_length_is_refused_with_the_length(typed):
    assert ClassCodeForm({"code": typed}).errors["code"] == ["The code has 6 letters and digits."]


def test_a_return_code_has_eight():
    form = CameBackForm({"code": "TW0011", "called": "Sunniva", "return_code": "ABCD-EF"})
    assert form.errors == {"return_code": ["The code has 8 letters and digits."]}


def test_a_name_is_tidied():
    form = JoinForm({"called": "  Sunniva \t Okoro "})
    assert form.is_valid()
    assert form.cleaned_data["called"] == "Sunniva Okoro"


def test_a_spelling_is_tidied_or_refused():
    assert SpellingForm({"spelled": " Yamada  Hanako"}).is_valid()
    assert "cannot print 花" in SpellingForm({"spelled": "花"}).errors["spelled"][0]
