"""Where a saved page goes on."""

import pytest
from django.test import RequestFactory

from school.onward import onward


@pytest.mark.parametrize("path", ["/set-up/", "/set-up/?a=1#kilns"])
def test_a_path_of_our_own_is_gone_to(path):
    assert onward(RequestFactory().get("/school/", {"next": path}), "school_page") == path


@pytest.mark.parametrize(
    "path",
    ["", "https://elsewhere.example/", "//elsewhere.example/", "/\\elsewhere.example/", "javascript:alert(1)", "days"],
)
def test_anything_else_is_not(path):
    assert onward(RequestFactory().get("/school/", {"next": path}), "school_page") == "school_page"
