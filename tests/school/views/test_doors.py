"""Every page of the way in, with the cast: student, classmate, teacher, a stranger."""

import pytest
from django.contrib.auth.hashers import make_password
from django.test import Client
from django.urls import reverse

import school.settings
from school.models import Course, Student
from tests.factories import PASSWORD, PersonFactory, StudentFactory

OPEN_PAGES = ["join", "came_back", "sign_in"]


def test_a_stranger_at_home_chooses_a_door(stranger_client):
    page = stranger_client.get(reverse("home"))
    assert page.status_code == 200
    for name in OPEN_PAGES:
        assert f'="{reverse(name)}"' in page.content.decode()


def test_the_first_page_names_the_school_and_takes_the_code(school, course, stranger_client):
    page = stranger_client.get(reverse("home")).content.decode()
    assert f'<h1 dir="auto">{school.name}</h1>' in page and page.count('type="text"') == 1 and "<svg" in page
    assert stranger_client.post(reverse("join"), {"code": course.code}).url == reverse("join_class", args=[course.code])
    PersonFactory(school__name="Saltmarsh Metal Hall")
    assert '<h1 dir="auto">Casting day</h1>' in stranger_client.get(reverse("home")).content.decode()


def test_home_sends_student_and_teacher_to_their_own_work(student_client, teacher_client):
    assert student_client.get(reverse("home")).url == reverse("my_waxes")
    assert teacher_client.get(reverse("home")).url == reverse("days")


@pytest.mark.parametrize("name", OPEN_PAGES)
def test_the_doors_stand_open_to_everybody(name, stranger_client, student_client, teacher_client):
    for client in (stranger_client, student_client, teacher_client):
        assert client.get(reverse(name)).status_code == 200


@pytest.mark.parametrize("name", OPEN_PAGES)
def test_an_empty_form_comes_back_with_what_is_missing(name, stranger_client):
    page = stranger_client.post(reverse(name), {"next": "/"})
    assert page.status_code == 422
    body = page.content.decode()
    assert 'class="errors"' in body
    for field in page.context["form"].visible_fields():
        assert body.count(str(field.errors[0]).replace("'", "&#x27;")) >= 2  # on top and at the field


def test_a_wrong_form_keeps_what_was_typed(course, stranger_client):
    typed = {"code": course.code, "called": "Sunniva Okoro", "return_code": "short"}
    page = stranger_client.post(reverse("came_back"), typed)
    assert page.status_code == 422
    for text in typed.values():
        assert f'value="{text}"' in page.content.decode()


def test_a_teacher_signs_in_by_any_spelling_of_case(teacher):
    client = Client()
    answer = client.post(reverse("sign_in"), {"sign_in": f" {teacher.sign_in.upper()} ", "password": PASSWORD})
    assert answer.url == reverse("home")
    assert client.get(reverse("people")).status_code == 200


def test_sign_in_goes_on_to_the_page_that_was_asked_for(teacher, stranger_client):
    asked = stranger_client.get(reverse("people"))
    assert asked.url == f"{reverse('sign_in')}?next={reverse('people')}"
    answer = stranger_client.post(asked.url, {"sign_in": teacher.sign_in, "password": PASSWORD})
    assert answer.url == reverse("people")


@pytest.mark.parametrize("away", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)"])
def test_sign_in_never_leads_to_another_site(teacher, stranger_client, away):
    typed = {"sign_in": teacher.sign_in, "password": PASSWORD, "next": away}
    assert stranger_client.post(reverse("sign_in"), typed).url == reverse("home")


def test_a_wrong_password_and_an_unknown_name_get_the_same_answer(teacher):
    told = []
    for name in (teacher.sign_in, "nobody"):
        page = Client().post(reverse("sign_in"), {"sign_in": name, "password": "wrong"})
        assert page.status_code == 422
        told.append(str(page.context["form"].non_field_errors()))
    assert told[0] == told[1]


def test_wrong_passwords_are_limited_and_right_ones_are_not(teacher):
    for _time in range(30):
        right = Client().post(reverse("sign_in"), {"sign_in": teacher.sign_in, "password": PASSWORD})
        assert right.status_code == 302
    wrong = {"sign_in": teacher.sign_in, "password": "wrong"}
    answers = [Client().post(reverse("sign_in"), wrong).status_code for _try in range(11)]
    assert answers == [422] * 10 + [429]


def test_a_teacher_who_has_left_does_not_get_in(school):
    gone = PersonFactory(school=school, is_active=False)
    page = Client().post(reverse("sign_in"), {"sign_in": gone.sign_in, "password": PASSWORD})
    assert page.status_code == 422


def test_signing_out_forgets_teacher_and_student(teacher_client, student_client):
    for client in (teacher_client, student_client):
        assert client.get(reverse("sign_out")).url == reverse("home")
        assert client.post(reverse("sign_out")).url == reverse("home")
        assert client.get(reverse("home")).status_code == 200


@pytest.fixture
def keeper(db):
    return PersonFactory(school=None, is_staff=True, is_superuser=True)


def test_who_keeps_the_host_belongs_to_no_school_and_is_led_to_their_own_pages(keeper, course):
    client = Client()
    signed_in = client.post(reverse("sign_in"), {"sign_in": keeper.sign_in, "password": PASSWORD}, follow=True)
    assert signed_in.redirect_chain == [("/", 302), ("/keeper/", 302)]
    assert list(Course.objects.of(keeper)) == []
    for page in ("people", "days"):
        assert client.get(reverse(page), follow=True).redirect_chain == [("/", 302), ("/keeper/", 302)]


def test_the_header_shows_the_keeper_no_link_that_bounces(keeper):
    client = Client()
    client.force_login(keeper)
    body = client.get("/join/").content.decode()
    assert 'href="/keeper/"' in body
    assert f'href="{reverse("days")}"' not in body and f'href="{reverse("people")}"' not in body


def test_the_keeper_signs_in_where_those_who_guess_must_wait(keeper):
    client = Client()
    asked = client.get("/keeper/school/school/", follow=True)
    assert asked.redirect_chain[-1][0] == "/sign-in/?next=/keeper/school/school/"
    answer = client.post(asked.redirect_chain[-1][0], {"sign_in": keeper.sign_in, "password": PASSWORD})
    assert answer.url == "/keeper/school/school/"
    assert client.get("/keeper/login/").url == "/sign-in/?next=/keeper/"
    assert client.post("/keeper/login/", {"username": keeper.sign_in, "password": PASSWORD}).status_code == 405


def test_a_teachers_session_is_no_longer_than_a_teachers_in_a_students_browser(teacher, student_client):
    student_client.post(reverse("sign_in"), {"sign_in": teacher.sign_in, "password": PASSWORD})
    assert student_client.session.get_expiry_age() == 14 * 24 * 3600
    assert student_client.get(reverse("my_waxes")).url == reverse("came_back")


def test_passwords_are_kept_by_argon2_and_codes_by_scrypt(settings):
    settings.PASSWORD_HASHERS = school.settings.PASSWORD_HASHERS
    assert make_password("x").startswith("argon2$argon2id$")
    # 2 ** 14, as Django has it.
    assert make_password("x", hasher="scrypt_return_code").startswith("scrypt_return_code$16384$")


def join_as(course, called, client=None, **more):
    return (client or Client()).post(reverse("join_class", args=[course.code]), {"called": called, **more})


def test_the_same_name_again_asks_for_the_return_code_or_another_name(course):
    code = join_as(course, "Ana M.").context["return_code"]
    page = join_as(course, "ana m.")
    body = page.content.decode()
    assert page.status_code == 200 and "That name is in the class already" in body
    assert Student.objects.count() == 1 and 'value="ana m. (2)"' in body
    phone = Client()
    typed = {"code": course.code, "called": "ana m.", "return_code": code}
    assert phone.post(reverse("came_back"), typed).url == reverse("my_waxes")
    other = Client()
    assert join_as(course, "Ana M. (2)", other).context["student"].called == "Ana M. (2)"
    assert "Ana M. (2)" in other.get(reverse("my_waxes")).content.decode()


def test_a_near_name_on_the_roster_is_one_press_away(course):
    row = StudentFactory(course=course, called="Ana Martínez", joined_at=None)
    page = join_as(course, "Ana")
    body = page.content.decode()
    assert "Is that you?" in body and "Ana Martínez" in body and f'name="who" value="{row.pk}"' in body
    phone = Client()
    assert join_as(course, "Ana", phone, who=row.pk).context["student"] == row
    assert "Ana Martínez" in phone.get(reverse("my_waxes")).content.decode()
    assert join_as(course, "Ann", new="on").context["student"].called == "Ann"


@pytest.mark.parametrize("who", ["x", "-1", "0", str(2**70)])
def test_a_choice_that_no_page_offers_is_refused(course, who):
    assert join_as(course, "Ana", who=who).status_code == 422


def test_the_questions_come_in_spanish(course):
    join_as(course, "Ana M.")
    StudentFactory(course=course, called="Tobiah Renn", joined_at=None)
    spanish = Client(headers={"accept-language": "es"})
    assert "Soy otra persona con ese nombre" in join_as(course, "Ana M.", spanish).content.decode()
    assert "¿Eres tú?" in join_as(course, "Tobiah", spanish).content.decode()
