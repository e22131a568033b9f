"""The sign of a code in a template."""

from django.template import Context, Template


def shown(code):
    return Template("{% load signs %}{% sign code 9 %}").render(Context({"code": code}))


def test_a_code_is_drawn_and_an_unknown_one_is_nothing():
    assert "<title>Sign: hot surface</title>" in shown("W017")
    assert shown("W999") == ""
