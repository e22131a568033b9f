import pytest

from casting.forms.recast import RecastForm


def test_both_may_be_left_open(day):
    form = RecastForm({"next_day": "", "pays": ""}, days=[day])
    assert form.is_valid() and form.cleaned_data == {"next_day": None, "pays": ""}


def test_a_day_of_the_list_is_that_day(day):
    form = RecastForm({"next_day": str(day.pk), "pays": "school"}, days=[day])
    assert form.is_valid() and form.cleaned_data == {"next_day": day, "pays": "school"}


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"next_day": "0"}, "The day chosen takes no waxes of its student. Choose one of the list."),
        ({"next_day": "x" * 300}, "The day chosen takes no waxes of its student. Choose one of the list."),
        ({"pays": "nobody"}, "Choose who pays for the first casting, or leave it open."),
    ],
)
def test_what_is_not_of_the_list_is_refused_in_a_sentence(day, typed, said):
    form = RecastForm(typed, days=[day])
    assert not form.is_valid() and form.first_error == said
