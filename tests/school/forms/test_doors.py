"""The forms by which people join and come back."""

from school.forms.doors import JoinForm


def test_only_a_name_with_letters_that_papers_lack_is_asked_for_in_others():
    assert "spelled" not in JoinForm().fields
    for called in ("José", "Łukasz", "Ελένη", "עדה", "Ada 💍"):
        form = JoinForm({"called": called})
        assert form.is_valid() and not form.asks_more and "spelled" not in form.fields, called
    form = JoinForm({"called": "山田 花子"})
    assert form.asks_more and form.missing == "山, 田, 花, 子"
    answered = JoinForm({"called": "山田 花子", "spelled": " "})
    assert answered.is_valid() and not answered.asks_more and answered.cleaned_data["spelled"] == ""


def test_a_spelling_left_on_the_page_is_dropped_where_the_name_now_prints():
    form = JoinForm({"called": "Hanako", "spelled": "花子"})
    assert form.is_valid() and "spelled" not in form.cleaned_data
