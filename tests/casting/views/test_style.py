"""The page of elements has every one that the styles of all pages know."""

import re

from django.conf import settings
from django.urls import reverse

CSS = settings.BASE_DIR / "static" / "css" / "elements.css"
ELSEWHERE = """
    card card-drawing card-figures card-words cone day-hours dim htmx-swapping outline poster poster-code remark skip
    stack thin tree used wax whole-row dashed hidden way-done
    photo photo-form as-mounted
"""
"""A flask, its drawing, the poster, the hours of a day, the form for a photo and a base as mounted stand on one page
each, and a photo is somebody's; a page at rest wears nothing else."""


def test_every_element_of_the_styles_is_on_the_page(teacher_client):
    page = teacher_client.get(reverse("style")).content.decode()
    worn = {name for names in re.findall(r'class="([^"]*)"', page) for name in names.split()}
    rules = re.sub(r"/\*.*?\*/|\{[^}]*\}", "", CSS.read_text("utf-8"), flags=re.DOTALL)
    known = set(re.findall(r"\.([a-z][\w-]*)", rules))
    assert known - worn - set(ELSEWHERE.split()) == set()
    assert {"errors", "field-wrong", "empty", "figure"} <= known & worn


def test_it_shows_a_field_fresh_and_refused_and_saves_nothing(teacher_client):
    page = teacher_client.get(reverse("style")).content.decode()
    assert 'id="fresh_name"' in page and 'id="id_name_error"' in page and page.count('role="alert"') == 2
    assert teacher_client.post(reverse("style")).status_code == 405
