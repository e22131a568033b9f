"""Which pages are served in the browser's language."""

from django.test import Client
from django.urls import reverse

from school.models import Person

SPANISH = {"accept-language": "es-MX,es;q=0.9"}


def test_a_phone_set_to_spanish_gets_the_way_in_in_spanish(course):
    spanish = Client(headers=SPANISH)
    body = spanish.get(reverse("join_class", args=[course.code])).content.decode()
    assert '<html lang="es">' in body
    assert "¿Cómo te llamas?" in body


def test_a_page_that_is_not_translated_whole_is_in_english(admin_client):
    page = admin_client.get(reverse("admin:index"), headers=SPANISH)
    assert '<html lang="en-us"' in page.content.decode() or '<html lang="en"' in page.content.decode()
    assert page["Content-Language"] == "en"


def test_a_page_of_casting_is_in_the_language_of_the_browser(student_client):
    page = student_client.get(reverse("my_waxes"), headers=SPANISH)
    assert '<html lang="es">' in page.content.decode() and page["Content-Language"] == "es"


def test_a_teacher_who_has_chosen_a_language_reads_every_page_in_it(teacher, teacher_client):
    teacher_client.post(reverse("me"), {"do": "language", "language": "es"})
    assert Person.objects.get(pk=teacher.pk).language == "es"
    for name in ("days", "people", "metals"):
        assert teacher_client.get(reverse(name))["Content-Language"] == "es"
    assert "Esa página no existe" in teacher_client.get("/no-such-page/").content.decode()
    teacher_client.post(reverse("me"), {"do": "language", "language": "en"})
    assert teacher_client.get(reverse("days"), headers=SPANISH)["Content-Language"] == "en"
    teacher_client.post(reverse("me"), {"do": "language", "language": ""})
    assert teacher_client.get(reverse("days"), headers=SPANISH)["Content-Language"] == "es"


def test_a_language_that_there_is_not_is_refused(teacher, teacher_client):
    page = teacher_client.post(reverse("me"), {"do": "language", "language": "fr"})
    assert page.status_code == 422 and Person.objects.get(pk=teacher.pk).language == ""


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
