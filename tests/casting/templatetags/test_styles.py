"""Style sheets in the page itself, under the nonce of its policy."""

import re

from django.template import Context, Template
from django.urls import reverse

from casting.templatetags.styles import _packed

PAGE = Template('{% load styles %}{% inline_styles "css/tokens.css" %}')


def test_a_phone_s_page_waits_for_no_style_sheet(student_client, day):
    answer = student_client.get(reverse("hand_in"))
    page = answer.content.decode()
    assert 'rel="stylesheet"' not in page
    nonces = set(re.findall(r'<style nonce="([^"]+)">', page))
    assert len(nonces) == 1 and f"style-src 'self' 'nonce-{nonces.pop()}'" in answer["Content-Security-Policy"]
    assert "unsafe" not in answer["Content-Security-Policy"]


def test_without_a_nonce_there_are_links():
    assert 'href="/static/css/tokens.css"' in PAGE.render(Context())


def test_packing_keeps_the_rules_and_drops_the_comments():
    css = _packed(("css/tokens.css", "css/phone.css"))
    assert "/*" not in css and "\n" not in css and "--color-paper:" in css.replace(": ", ":")
    assert "calc((100vw - 34rem) / 2 + var(--space-3))" in _packed(("css/hand-in.css",))
