"""What several pages do with a form."""

import pytest
from django import forms
from django.test import RequestFactory

from school.models import FailedAttempt
from school.views.shared import form_page, refuse, refuse_if_rate_limited


class OneField(forms.Form):
    name = forms.CharField()


@pytest.mark.parametrize(
    ("form", "status"), [(OneField(), 200), (OneField({"name": "x"}), 200), (OneField({"name": ""}), 422)]
)
def test_a_form_with_errors_answers_422(form, status):
    assert form_page(RequestFactory().get("/"), "school/join.html", form).status_code == status


def test_ten_refusals_make_the_next_try_wait(db):
    request = RequestFactory().get("/")
    for _try in range(10):
        form = OneField({"name": "x"})
        assert form.is_valid() and not refuse_if_rate_limited(request, form, "join", "x")
        refuse(request, form, "join", "x", "No.")
        assert form.non_field_errors() == ["No."]
    form = OneField({"name": "x"})
    assert form.is_valid() and refuse_if_rate_limited(request, form, "join", "x")
    assert form_page(request, "school/join.html", form).status_code == 429
    assert FailedAttempt.objects.count() == 10
