"""The hand-in page: what is typed is told, then written once."""

import html
import json
import re
import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from casting.dayfile.rules_file import rulebook
from casting.forms.hand_in import WaxForm
from casting.models import FlaskSize, Investment, Wax, WaxChange
from tests.casting_factories import DayFactory, handed_in, typed

REFUSED = [
    "1.234,5", "12,5,0", "nan", "inf", "-inf", "1e3", "9**9", "0x1f", "-2", "\u22122", "+2", "1 234", "1\u202f234",
    "4\u00b2", "\u00bd", "\u0664", "3.2 kg", "3.2 lb", "", " ", ".", ",", "g", "0", "0.00000001", "500.0001",
    "9" * 21, "3.2;DROP", "{{ 7*7 }}", "1/2", "3'2",
]  # fmt: skip


def post(client, day, **changed):
    return client.post(reverse("hand_in_day", args=[day.pk]), typed(day, **changed))


def confirm(client, day, **changed):
    """Post; answer each question about the figures with its mark, as a person does who looked."""
    values = typed(day, **changed)
    address = reverse("hand_in_day", args=[day.pk])
    answer = client.post(address, values, follow=True)
    for _nth in range(4):
        seen = re.search(r'name="seen" value="(\w+)"', answer.content.decode())
        if not seen:
            break
        answer = client.post(address, values | {"seen": seen.group(1)}, follow=True)
    return answer


def test_a_wax_is_told_while_it_is_typed_and_after_it_is_written(student_client, day):
    # 3.20 / 0.96 x 10.36 = 34.53 g, at 1.10 a gram 37.99 (37.987): worked by hand.
    told = "<strong>34.53\u202fg</strong> sterling silver"
    before = post(student_client, day, preview="1").content.decode()
    assert told in before and "37.99" in before
    assert not Wax.objects.exists()

    after = post(student_client, day)
    wax = Wax.objects.get()
    assert after.url == reverse("wax_tag", args=[wax.pk])
    text = student_client.get(after.url).content.decode()
    assert f"Write {wax.tag} on its tag." in text and "34.53\u202fg" in text and "37.99" in text


def test_the_echo_alone_writes_nothing(student_client, day):
    answer = post(student_client, day, preview="1")
    assert answer.status_code == 200
    assert "34.53\u202fg" in answer.content.decode()
    assert "<html" not in answer.content.decode()
    assert not Wax.objects.exists()


def test_other_doubtful_figures_than_those_seen_are_asked_about_again(student_client, day):
    first = post(student_client, day, weight="0,004")
    assert first.status_code == 422
    seen = re.search(r'name="seen" value="(\w+)"', first.content.decode()).group(1)
    slipped = post(student_client, day, seen=seen, weight="0,003")
    assert slipped.status_code == 422
    assert not Wax.objects.exists()


def test_the_rubber_base_is_taken_off(student_client, day):
    confirm(student_client, day, weight="45.20", on_base="yes", base="42")
    wax = Wax.objects.get()
    assert str(wax.wax_g) == "3.2000"  # 45.20 - 42
    assert (wax.entered, wax.base_entered) == ("45.20", "42")


@pytest.mark.parametrize(
    "wrong",
    [
        {"on_base": "yes", "base": ""},
        {"on_base": "no", "base": "42"},
        {"on_base": ""},
        {"on_base": "yes", "base": "3.20"},
        {"on_base": "yes", "base": "4"},
        {"sprue": "0.4"},
        {"sprue": "3.2"},
        {"section": "thick"},
        {"alloy": "999999"},
        {"unit": "kg"},
        {"what": ""},
        {"width_mm": "401"},
        {"height_mm": "0"},
        {"weight": "32"},  # a solid block of 22 x 8 x 33 mm weighs 5.58 g: worked by hand
    ],
)
def test_what_cannot_be_is_refused_with_nothing_cleared(student_client, day, wrong):
    answer = post(student_client, day, later="1", **wrong)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert 'class="errors" role="alert"' in text
    assert 'value="33"' in text or "height_mm" in wrong
    assert not Wax.objects.exists()


def test_a_phone_set_to_spanish_gets_spanish_pages(student, student_client, day):
    handed_in(day, student)
    spanish = {"accept-language": "es-MX,es;q=0.9"}
    doubted = student_client.post(
        reverse("hand_in_day", args=[day.pk]), typed(day, weight="0,004", what=""), headers=spanish
    )
    for answer in (doubted, student_client.get(reverse("my_waxes"), headers=spanish)):
        page = answer.content.decode()
        assert '<html lang="es">' in page and answer["Content-Language"] == "es" and ">Leave</button>" not in page
    assert "<p>Falta 1 respuesta.</p>" in doubted.content.decode()


@pytest.mark.parametrize("field", ["weight", "width_mm", "depth_mm", "height_mm", "base", "sprue"])
def test_no_number_field_takes_what_is_no_number(student_client, day, field):
    extra = {"base": {"on_base": "yes"}, "sprue": {"sprue_pattern": typed(day)["pattern"]}}.get(field, {})
    values = typed(day, later="1", **extra)
    for entry in REFUSED:
        if field.endswith("_mm") and entry == "500.0001":
            entry = "400.1"
        if field in ("base", "sprue") and entry in ("", " "):
            entry = "nan"
        if field == "base" and entry in ("0", "0.00000001"):
            entry = "-0"
        assert not WaxForm(values | {field: entry}, day=day).is_valid(), entry
    refused = student_client.post(reverse("hand_in_day", args=[day.pk]), values | {field: "1.234,5"})
    assert refused.status_code == 422 and not Wax.objects.exists()


@pytest.mark.parametrize(
    ("entry", "wax_g"),
    [("3,2", "3.2000"), (".5", "0.5000"), ("5.", "5.0000"), (" 3.2 g ", "3.2000"), ("\uff13.2", "3.2000")],
)
def test_one_comma_or_point_is_read(student_client, day, entry, wax_g):
    post(student_client, day, later="1", weight=entry)
    assert str(Wax.objects.get().wax_g) == wax_g


def test_a_unit_that_is_written_behind_the_weight_is_understood(student_client, day):
    # 2 x 1.55517384 g (NIST Handbook 44, Appendix C); the box beside it says g, and nobody is asked twice.
    assert post(student_client, day, weight="2 dwt", unit="g").status_code == 302
    wax = Wax.objects.get()
    assert (str(wax.wax_g), wax.entered_unit) == ("3.1103", "dwt")


@pytest.mark.parametrize("unit", ["g", "dwt"])
def test_a_unit_behind_the_weight_is_told_once_and_is_that_of_the_base(student_client, day, unit):
    echo = post(student_client, day, weight=f"14.5{unit}", on_base="yes", base="12.4", preview="1").content.decode()
    assert f"You typed 14.5 {unit}. The base, 12.4 {unit}, is subtracted." in echo


def test_pennyweights_are_kept_as_typed_and_weighed_in_grams(student_client, day):
    type(day.course.school).objects.update(weight_unit="dwt")
    post(student_client, day, later="1", weight="2", unit="dwt")
    wax = Wax.objects.get()
    assert str(wax.wax_g) == "3.1103"  # 2 x 1.55517384 g (NIST Handbook 44, Appendix C)
    assert (wax.entered, wax.entered_unit) == ("2", "dwt")


def test_number_fields_are_text_with_a_decimal_keyboard(student_client, day):
    text = student_client.get(reverse("hand_in")).content.decode()
    assert 'type="number"' not in text
    assert len(re.findall(r'<input [^>]*inputmode="decimal"', text)) == 12
    # Enter goes on from each of them, and from the ring's size, what it is and the note.
    assert text.count('enterkeyhint="next"') == 15


def test_a_measured_thickest_part_is_answered_with_its_sprue(student_client, day):
    text = confirm(student_client, day, thickest_mm="3", thick_parts="2").content.decode()
    # B&S gauge 8 is 3.264 mm, gauge 9 2.906: 0.127 mm x 92^((36 - n) / 39)
    assert "Make its sprue at least 3\u202fmm thick" in text and "gauge 8 (B&amp;S)" in text
    assert "each of its 2 thick parts a sprue" in text
    wax = Wax.objects.get()
    assert (wax.thickest_mm, wax.thick_parts) == (3, 2)


def test_a_thickest_part_that_nobody_measured_is_asked_for(student_client, day):
    text = post(student_client, day, preview="1").content.decode()
    assert "Measure its thickest part" in text and "Make its sprue" not in text
    assert "Has it thick parts with a thin part between them?" in text
    confirm(student_client, day)
    wax = Wax.objects.get()
    assert wax.thickest_mm is None and wax.thick_parts is None and "thickest_mm" not in wax.to_day()


def test_a_wax_too_tall_is_written_and_said(student_client, day):
    text = confirm(student_client, day, height_mm="88").content.decode()
    # The 3 x 4 in flask leaves most: 101.6 less 10 base, 76.2/4 cover, 3 rim is 69.55: worked by hand.
    assert "88 mm tall; the tallest flask takes 69.5 mm." in text
    assert Wax.objects.count() == 1


def test_the_next_echo_knows_a_shelf_that_has_changed_and_another_reads_it_no_more(student_client, day):
    tall = typed(day, height_mm="60", preview="1")
    address = reverse("hand_in_day", args=[day.pk])
    assert "No flask" not in student_client.post(address, tall).content.decode()
    with CaptureQueriesContext(connection) as made:
        student_client.post(address, tall)
    assert not [one["sql"] for one in made if "casting_flasksize" in one["sql"] or "casting_kiln" in one["sql"]]
    FlaskSize.objects.filter(school=day.course.school).update(height_mm=80)
    assert "No flask can take it as it is: 60 mm tall" in student_client.post(address, tall).content.decode()


def test_a_key_used_for_another_wax_offers_to_hand_it_in_as_another(student_client, day):
    values = typed(day)
    address = reverse("hand_in_day", args=[day.pk])
    student_client.post(address, values)
    other = values | {"weight": "2,20"}
    page = student_client.post(address, other).content.decode()
    assert "Hand it in as another wax" in page
    fresh = re.search(r'name="key" value="([\w-]+)">', page[page.index('class="errors"') :]).group(1)
    for _ in range(2):  # pressed twice, it is one wax all the same
        assert student_client.post(address, other | {"key": fresh}).status_code == 302
    assert sorted(wax.entered for wax in Wax.objects.all()) == ["2,20", "3,20"]


def test_what_is_wrong_is_counted_on_top_and_said_at_its_field_with_the_first_in_focus(student_client, day):
    page = post(student_client, day, weight="1.234,5", what="").content.decode()
    assert "2 answers are missing or wrong." in page
    assert "<title>2 answers are missing or wrong. Hand in a wax</title>" in page
    assert re.search(r'name="weight"[^>]* autofocus', page) and page.count("autofocus") == 1
    page = post(student_client, day, weight="", what="").content.decode()
    assert "2 answers are missing.</p>" in page and "<title>2 answers are missing. Hand in a wax</title>" in page


def test_the_echo_names_what_cannot_be_and_leaves_alone_what_is_still_empty(student_client, day):
    page = post(student_client, day, preview="1", width_mm="401", what="", on_base="yes").content.decode()
    wrong = json.loads(html.unescape(re.search(r'data-wrong="([^"]*)"', page).group(1)))
    assert wrong.keys() == {"width_mm", "base"} and "401 mm is not possible" in wrong["width_mm"]


def test_the_outbox_gets_201_then_200_then_409(student_client, day):
    values = typed(day, later="1", outbox="1")
    address = reverse("hand_in_day", args=[day.pk])
    answers = [student_client.post(address, values) for _ in range(3)]
    other = student_client.post(address, values | {"weight": "2,20"})
    assert [answer.status_code for answer in answers] == [201, 200, 200]
    assert other.status_code == 409
    assert len({answer["Wax-Tag"] for answer in answers}) == 1
    assert Wax.objects.count() == WaxChange.objects.count() == 1


def test_a_classmate_s_key_tells_nothing(student_client, classmate_client, day):
    values = typed(day, later="1", outbox="1")
    address = reverse("hand_in_day", args=[day.pk])
    student_client.post(address, values)
    answer = classmate_client.post(address, values)
    assert answer.status_code == 409
    assert not answer.has_header("Wax-Tag")


def test_the_cast(student_client, teacher_client, stranger_client, day):
    address = reverse("hand_in_day", args=[day.pk])
    assert student_client.get(address).status_code == 200
    assert teacher_client.get(address).status_code == 302
    assert stranger_client.get(address).status_code == 302
    assert stranger_client.post(address, typed(day, later="1")).status_code == 302
    assert not Wax.objects.exists()


def test_another_class_s_day_is_not_found(student_client, db):
    other = DayFactory()
    assert student_client.get(reverse("hand_in_day", args=[other.pk])).status_code == 404


def test_a_wax_is_changed_by_its_student_only(
    student, student_client, classmate_client, teacher_client, stranger_client, day
):
    wax = handed_in(day, student)
    address = reverse("change_wax", args=[wax.pk])
    assert student_client.get(address).status_code == 200
    assert 'value="3,20"' in student_client.get(address).content.decode()
    assert classmate_client.get(address).status_code == 404
    assert classmate_client.post(address, typed(day, later="1", version=1)).status_code == 404
    assert teacher_client.get(address).status_code == 302
    assert stranger_client.get(address).status_code == 302


def test_a_change_of_an_old_version_shows_both(student, student_client, day):
    wax = handed_in(day, student)
    address = reverse("change_wax", args=[wax.pk])
    values = typed(day, key=str(wax.key), version=1, later="1", weight="2,9")
    assert student_client.post(address, values).status_code == 302
    answer = student_client.post(address, values | {"weight": "2,8"})
    text = answer.content.decode()
    assert answer.status_code == 409
    # What stands there is written as every page writes it; what is typed stays as it was typed.
    assert "</b>, 2.90\u202fg, sterling silver." in text and 'value="2,8"' in text
    assert 'name="version" value="2"' in text


def test_a_page_without_a_day_says_so(student_client):
    assert "No casting day is announced" in student_client.get(reverse("hand_in")).content.decode()


def test_after_hand_in_closed_nothing_is_written(student_client, day):
    day.closed_at = day.pour_at
    day.save()
    answer = post(student_client, day, later="1", outbox="1", key=str(uuid.uuid4()))
    assert answer.status_code == 409
    assert not Wax.objects.exists()


def test_after_hand_in_closed_a_wax_is_not_open_to_change(student, student_client, day):
    wax = handed_in(day, student)
    address = reverse("change_wax", args=[wax.pk])
    assert 'name="weight"' in student_client.get(address).content.decode()
    day.closed_at = day.pour_at
    day.save()
    changed = typed(day, version="1", weight="4", later="1")
    for answer in (student_client.get(address), student_client.post(address, changed)):
        text = answer.content.decode()
        assert f"closed: wax {wax.tag} stays as it is" in text and 'name="weight"' not in text
    wax.refresh_from_db()
    assert (wax.version, wax.entered) == (1, "3,20")


@pytest.mark.parametrize("wrong", [{"water_per_100": 90}, {"offered": False}])
def test_trouble_with_the_shelf_keeps_no_student_from_handing_in(student_client, day, wrong):
    Investment.objects.filter(school=day.course.school).update(**wrong)
    text = confirm(student_client, day, sprue="0.3", sprue_pattern=typed(day)["pattern"]).content.decode()
    # 3.20 / 0.96 x 10.36 = 34.53 g: worked by hand.
    assert "34.53\u202fg" in text
    assert Wax.objects.count() == 1


@pytest.mark.parametrize("number", ["0", "9" * 18, "9" * 40])
def test_a_number_of_no_day_is_not_found(student_client, day, number):
    assert student_client.get(f"/hand-in/{number}/").status_code == 404
    assert student_client.get(f"/my-waxes/{number}/").status_code == 404


@pytest.mark.parametrize("choice", ["9" * 40, "x", "-1", "1;2", "\x00"])
def test_a_choice_that_was_not_offered_is_refused(student_client, day, choice):
    assert post(student_client, day, later="1", alloy=choice).status_code == 422
    assert post(student_client, day, later="1", version=choice).status_code == 422
    assert not Wax.objects.exists()


def test_a_word_that_papers_cannot_print_is_said_at_once_and_taken(student_client, day):
    said = "Our papers cannot print 花. Add a word in Latin letters, so that your slip can print it."
    assert said in post(student_client, day, what="花 ring", preview="1").content.decode()
    # Before the rest is filled in, too.
    assert said in post(student_client, day, what="花 ring", weight="", preview="1").content.decode()
    confirm(student_client, day, what="花 ring")
    assert Wax.objects.get().what == "花 ring"


@pytest.mark.parametrize("what", ["feuille d’érable", "δαχτυλίδι", "leaf 💍", ""])
def test_a_word_that_prints_and_emoji_raise_no_question(student_client, day, what):
    assert "cannot print" not in post(student_client, day, what=what, preview="1").content.decode()


def test_a_description_too_long_is_refused_and_never_cut(student_client, day):
    assert 'maxlength="80"' not in student_client.get(reverse("hand_in_day", args=[day.pk])).content.decode()
    body = post(student_client, day, what="a" * 81).content.decode()
    assert "What you wrote has 81 signs, and 80 are the most. Make it shorter." in body and "a" * 81 in body
    confirm(student_client, day, what="b" * 80)
    assert Wax.objects.get().what == "b" * 80


def test_a_phone_that_posts_hundreds_of_waxes_is_stopped_with_a_sentence(student_client, student, day):
    for _nth in range(round(rulebook().limit("student_most_waxes"))):
        handed_in(day, student)
    answer = post(student_client, day)
    assert (
        answer.status_code == 409 and "which is the most for one person. Ask your teacher." in answer.content.decode()
    )
    assert Wax.objects.filter(student=student).count() == 30
