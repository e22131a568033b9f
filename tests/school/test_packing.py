"""Pages packed for slow Wi-Fi: which are, and which are never."""

import gzip

import pytest
from django.urls import reverse

from school.packing import SECRET
from tests.addresses import ROUTES

PACKS = {"accept-encoding": "gzip"}


def test_a_page_is_packed_for_who_unpacks(student_client):
    for name in ("home", "forget_me"):
        answer = student_client.get(reverse(name), headers=PACKS, follow=True)
        assert answer["Content-Encoding"] == "gzip" and b"</html>" in gzip.decompress(answer.content)
    assert "Content-Encoding" not in student_client.get(reverse("forget_me"))


@pytest.mark.parametrize("how", ["get", "post"])
def test_a_page_with_a_code_is_never_packed(how, student_client):
    answer = getattr(student_client, how)(reverse("return_code"), headers=PACKS)
    assert answer.status_code == 200 and "Content-Encoding" not in answer


def test_every_such_page_is_an_address_of_the_site():
    assert {name for name, _given in ROUTES} >= SECRET
