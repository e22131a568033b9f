"""Figures that are hard to believe, asked about in the bar once and then written as they are."""

import re
from decimal import Decimal

from django.urls import reverse

from casting.models import Wax
from tests.casting.views.test_hand_in import confirm, post
from tests.casting_factories import handed_in, typed

DOUBT = "is very little for that size"


def test_a_light_wax_that_was_confirmed_is_written_as_it_is(student_client, day):
    confirm(student_client, day, weight="0,004")
    wax = Wax.objects.get()
    assert (wax.entered, wax.wax_g) == ("0,004", Decimal("0.004"))


def test_figures_of_a_sentence_are_written_as_its_reader_writes_them(student_client, day):
    # A block of 22 x 8 x 33 mm of wax: 5.808 cm3 x 0.96 = 5.58 g.
    address, spanish = reverse("hand_in_day", args=[day.pk]), {"accept-language": "es"}
    text = student_client.post(address, typed(day, weight="32,5"), headers=spanish).content.decode()
    assert "32,50\u202fg" in text and "5,58\u202fg" in text and "5.58" not in text
    assert (
        "32.50\u202fg is more than a solid block of that size weighs, 5.58\u202fg."
        in post(student_client, day, weight="32,5").content.decode()
    )


def test_a_doubt_stands_in_the_bar_with_its_mark_and_a_phone_out_of_reach_does_not_answer_it(student_client, day):
    typing = post(student_client, day, weight="0,004", preview="1").content.decode()
    assert DOUBT in typing and 'name="seen"' in typing and "Yes, hand it in" in typing
    fair = post(student_client, day, preview="1").content.decode()
    assert 'name="seen"' not in fair and "Yes, hand it in" not in fair
    late = post(student_client, day, weight="0,004", later="1", outbox="1")
    assert late.status_code == 422 and DOUBT in late.content.decode()
    assert not Wax.objects.exists()


def test_a_change_to_a_light_wax_is_asked_about(student, student_client, day):
    wax = handed_in(day, student)
    changed = typed(day, key=str(wax.key), version=1, weight="0.032")
    address = reverse("change_wax", args=[wax.pk])
    first = student_client.post(address, changed).content.decode()
    assert DOUBT in first
    seen = re.search(r'name="seen" value="(\w+)"', first).group(1)
    assert student_client.post(address, changed | {"seen": seen}).status_code == 302
    wax.refresh_from_db()
    assert wax.wax_g == Decimal("0.032")
