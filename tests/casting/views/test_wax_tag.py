"""The page with the tag of a wax that was just handed in."""

from django.urls import reverse

from tests.casting_factories import handed_in


def test_a_wax_that_no_flask_takes_is_the_headline_of_its_tag(student, student_client, classmate_client, day):
    tall = handed_in(day, student, height_mm=190)
    page = student_client.get(reverse("wax_tag", args=[tall.pk]))
    assert "<h1>No flask can take it as it is</h1>" in page.content.decode()
    fair = student_client.get(reverse("wax_tag", args=[handed_in(day, student).pk])).content.decode()
    assert "<h1>Handed in</h1>" in fair and "No flask" not in fair
    assert "Measure its thickest part" in fair and "weigh it again and press Change" in fair
    assert classmate_client.get(reverse("wax_tag", args=[tall.pk])).status_code == 404
