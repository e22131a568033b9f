"""The page of a firing: rows that move without a script, a curve that is drawn as it is typed, and what it refuses."""

import html

import pytest
from django.urls import reverse

from casting.forms.shelf.form import ThingForm
from casting.models import Firing
from casting.services.stock import stock_school

ECHO = "/shelf/firings/curve/"


@pytest.fixture
def firing(school, course):
    stock_school(school)
    return Firing.objects.get(school=school, key="6h")


def page_of(row):
    return reverse("thing", args=["firings", row.pk])


def opened(row, **typed):
    """What the page posts, with changes."""
    form = ThingForm(None, row=row)
    return form.stored | {"seen": form.seen(), "version": str(row.version)} | typed


def targets(answer):
    """The heats in the rows of the page that came back."""
    form = answer.context["form"]
    rows = [form.typed.get(f"segments-{nth}-to_c", "") for nth in range(6)]
    return "/".join(rows).rstrip("/")


def test_the_page_draws_the_firing_and_says_that_it_is_fair(firing, teacher_client):
    page = teacher_client.get(page_of(firing)).content.decode()
    assert 'class="drawing firing-curve"' in page and "<b>9 h 16 min</b>" in page
    assert "Within all limits for firings." in page and "This cannot be saved yet" not in page
    assert 'hx-post="/shelf/firings/curve/?row=' in page
    assert page.count('type="checkbox"') == 3  # wax, resin, stones


@pytest.mark.parametrize(
    ("do", "after"),
    [
        ("1 up", "371/149/732"),
        ("1 down", "149/732/371"),
        ("0 out", "371/732"),
        ("0 under", "149//371/732"),
        ("0 up", "149/371/732"),
        ("99 out", "149/371/732"),
    ],
)
def test_a_row_is_moved_taken_out_and_added_with_a_button(firing, teacher_client, do, after):
    answer = teacher_client.post(page_of(firing), opened(firing, name="Mine") | {"row": do})
    assert answer.status_code == 200 and targets(answer) == after
    assert answer.context["form"]["name"].value() == "Mine"
    assert not answer.context["form"].errors
    firing.refresh_from_db()
    assert firing.version == 1


def test_the_echo_draws_what_is_typed_and_writes_nothing(firing, teacher_client):
    typed = opened(firing) | {"segments-2-to_c": "745"}
    part = teacher_client.post(f"{ECHO}?row={firing.pk}", typed).content.decode()
    assert part.strip().startswith('<div id="curve">') and ">745<" in part
    assert "goes to 745\u00a0°C, above 732" in part and "WARN" in part
    firing.refresh_from_db()
    assert firing.segments[2]["to_c"] == 732


def test_an_untouched_figure_stays_the_same_in_fahrenheit(firing, teacher_client, school):
    school.temperature_unit = "F"
    school.save()
    row = Firing.objects.get(pk=firing.pk)
    # 732 C stands as 1350 F; typed anew it would be 732.2 C
    part = teacher_client.post(f"{ECHO}?row={row.pk}", opened(row)).content.decode()
    assert "Within all limits" in part and ">1350<" in part


WRONG = [
    ({"segments-1-ramp_c_per_h": "0"}, "segments-1-ramp_c_per_h", "0\u202f°C/h is entered, but it must be at least 1"),
    ({"segments-1-to_c": "100"}, "segments-1-to_c", "falls from 149\u202f°C and rises again to 732\u202f°C"),
    ({"segments-2-to_c": "1350"}, "segments-2-to_c", "Did you mean 1350\u202f°F, which is 732\u202f°C?"),
    ({"segments-2-hold_min": ""}, "segments-2-hold_min", "Nothing is entered here."),
    ({"segments-0-hold_min": "two"}, "segments-0-hold_min", "“two” is not a number."),
]


@pytest.mark.parametrize(("typed", "box", "words"), WRONG, ids=[box for _typed, box, _words in WRONG])
def test_what_cannot_be_is_refused_at_its_row_and_said_by_the_echo(firing, teacher_client, typed, box, words):
    answer = teacher_client.post(page_of(firing), opened(firing) | typed)
    assert answer.status_code == 422
    assert words in " ".join(answer.context["form"].errors[box])
    part = html.unescape(teacher_client.post(f"{ECHO}?row={firing.pk}", opened(firing) | typed).content.decode())
    assert words in part and "This cannot be saved yet" in part and "Within all limits" not in part


def test_a_new_firing_begins_with_nothing_said(firing, teacher_client):
    page = teacher_client.get(reverse("new_thing", args=["firings"])).content.decode()
    assert "Fill in a row, and it is drawn here." in page and "This cannot be saved yet" not in page


def test_the_echo_is_for_firings_of_the_own_school(firing, teacher_client, other_teacher_client):
    assert teacher_client.post("/shelf/metals/curve/", {}).status_code == 404
    assert other_teacher_client.post(f"{ECHO}?row={firing.pk}", opened(firing)).status_code == 404
