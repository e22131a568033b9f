"""Where a saved page goes on."""

import pytest
from django.test import RequestFactory
from django.urls import reverse

from casting.models import Alloy
from casting.services.stock import stock_school
from school.onward import onward, way_back


@pytest.mark.parametrize("path", ["/set-up/", "/set-up/?a=1#kilns"])
def test_a_path_of_our_own_is_gone_to(path):
    assert onward(RequestFactory().get("/school/", {"next": path}), "school_page") == path


@pytest.mark.parametrize(
    "path",
    ["", "https://elsewhere.example/", "//elsewhere.example/", "/\\elsewhere.example/", "javascript:alert(1)", "days"],
)
def test_anything_else_is_not(path):
    assert onward(RequestFactory().get("/school/", {"next": path}), "school_page") == "school_page"


def test_lists_link_back_to_where_they_were_opened_from_and_nowhere_else(teacher_client):
    for name in ("team", "people", "metals", "equipment"):
        page = teacher_client.get(f"{reverse(name)}?next=/set-up/").content.decode()
        assert '<a href="/set-up/">Back to where you came from</a>' in page
        for away in ("https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)", ""):
            page = teacher_client.get(reverse(name), {"next": away}).content.decode()
            assert "Back to where you came from" not in page and "elsewhere" not in page


def test_a_thing_opened_from_a_list_comes_back_to_it_and_the_list_to_the_set_up(teacher_client, school):
    stock_school(school)
    opened = teacher_client.get("/metals/?next=/set-up/").content.decode()
    back = "?next=/metals/%3Fnext%3D/set-up/"
    assert opened.count(back) > 5
    sterling = Alloy.objects.get(school=school, key="sterling")
    moved = teacher_client.post(reverse("move_thing", args=["metals", sterling.pk]) + back, {"do": "away"})
    assert moved.url == "/metals/?next=/set-up/"


def test_a_class_opened_on_the_way_stays_on_the_way(teacher_client):
    typed = {"name": "Saturday class", "last_day": "2999-01-01"}
    assert teacher_client.post("/classes/?next=/set-up/", typed).url == "/classes/?next=/set-up/"


def test_only_a_path_of_our_own_is_a_way_back():
    assert way_back(RequestFactory().get("/team/", {"next": "/set-up/"})) == {"way_back": "/set-up/"}
    assert way_back(RequestFactory().get("/team/", {"next": "//elsewhere.example"})) == {"way_back": ""}
