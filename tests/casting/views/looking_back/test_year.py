"""The page of a year and its list."""

import pytest
from django.urls import reverse
from django.utils import timezone

from tests.casting.account_days import lot_of
from tests.casting.past_days import earlier, in_month, weighed

pytestmark = pytest.mark.django_db


@pytest.fixture
def past(planned, school, teacher):
    past = earlier(planned, 7)
    weighed(past, lot_of(school, teacher), teacher, "18")
    in_month(past, 3)
    return past


def test_a_year_is_shown_and_leads_to_those_beside_it(past, teacher_client):
    text = " ".join(teacher_client.get(reverse("year"), {"year": 2025}).content.decode().split())
    assert "The year 2025" in text and "March" in text and "119.50 g" in text and text.count("<svg") == 4
    assert "2,025" not in text
    later = teacher_client.get(reverse("year"), {"year": 2024}).content.decode()
    assert "No casting day in this year." in later and 'href="?year=2025"' in later


def test_what_is_no_year_is_this_one(past, teacher_client):
    this = f"The year {timezone.now().astimezone(past.course.school.tz).year}"
    for asked in ("", "0000", "20٢5", "99999", "-1"):
        assert this in teacher_client.get(reverse("year"), {"year": asked}).content.decode()


def test_the_list_of_a_year_is_kept_under_its_name(past, teacher_client):
    answer = teacher_client.get(reverse("year_csv"), {"year": 2025})
    assert answer["Content-Disposition"] == 'attachment; filename="year-2025.csv"'
    header, *rows = answer.content.decode("utf-8-sig").splitlines()
    assert header.startswith("Month,Days,") and len(rows) == 12
    assert rows[2] == "2025-03,1,1,1,3,0,283.00,119.50,99.00,82.85,1.50,1.26,0.00,0.00"
    assert rows[0] == "2025-01,0,0,0,,0,0.00,,,,,,0.00,0.00"


def test_another_school_sees_none_of_it(past, other_teacher_client):
    assert "No casting day" in other_teacher_client.get(reverse("year"), {"year": 2025}).content.decode()
