"""Which pages are served in the browser's language."""

from django.test import Client
from django.urls import reverse

SPANISH = {"accept-language": "es-MX,es;q=0.9"}


def test_a_phone_set_to_spanish_gets_the_way_in_in_spanish(course):
    spanish = Client(headers=SPANISH)
    body = spanish.get(reverse("join_class", args=[course.code])).content.decode()
    assert '<html lang="es">' in body
    assert "¿Cómo te llamas?" in body


def test_a_page_that_is_not_translated_whole_is_in_english(student_client):
    page = student_client.get(reverse("my_waxes"), headers=SPANISH)
    assert '<html lang="en">' in page.content.decode()
    assert page["Content-Language"] == "en"
