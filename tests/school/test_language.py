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


def test_the_question_for_a_name_that_papers_cannot_print_is_in_spanish_too(course):
    spanish = Client(headers=SPANISH)
    address = reverse("join_class", args=[course.code])
    body = spanish.post(address, {"called": "山田 花子"}).content.decode()
    assert "Nuestros papeles no pueden imprimir 山, 田, 花, 子. Responde una pregunta más" in body
    assert "¿Cómo se escribe con letras que nuestros papeles impriman?" in body
    refused = spanish.post(address, {"called": "山田 花子", "spelled": "花"}).content.decode()
    assert "Escribiste «花», pero nuestros papeles no pueden imprimir 花." in refused
    spanish.post(address, {"called": "山田 花子", "spelled": ""})
    assert (
        "Nuestros papeles no pueden imprimir 山, 田, 花, 子 en el nombre"
        in spanish.get(reverse("my_name")).content.decode()
    )
