"""No page half in English: every address of the site, opened in Spanish with the invented class of the demo."""

import re
from functools import cache
from html.parser import HTMLParser

import pytest
from django.apps import apps
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, override

from casting.dayfile.sources_file import material_rows
from casting.models import PieceDefect, Recast, Wax
from casting.services.demo import begin_demo_plan, demo_visitor, finish_demo_plan, load_demo
from school.models import Role
from school.students import remove
from school.team import invite
from tests.casting.account_days import an_entry
from tests.casting.test_catalogue import known
from tests.casting.views.test_reading_only import ROUTES
from tests.conftest import client_of_student, client_of_teacher
from tests.factories import PersonFactory, StudentFactory

SPANISH = {"accept-language": "es"}
ENGLISH = re.compile(
    r"\b(the|of|and|is|are|with|not|to|from|for|this|that|it|its|your|you|at|by|be|was|were|have|when|which|who|into"
    r"|than|or|on|if|as|an|any|each|every|their|there|will|must|may|flasks?|wax|waxes|pours?|kilns?|firings?)\b",
    re.IGNORECASE,
)
"""Words that no Spanish sentence has."""
LABELS = {"aria-label", "title", "placeholder", "alt", "hx-confirm"}
UNSEEN = {"script", "style", "head"}
VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}
INLINE = {"a", "b", "bdi", "em", "i", "small", "span", "strong", "s", "sub", "sup", "u"}
BOTH_LANGUAGES = {"A4", "CSV", "PDF", "ZIP", "Plan", "Error", "no", "Material", "metal", "plan", "English", "May"}
"""Texts that are the same in Spanish; a language is called as in itself, and May is short for mayo as well."""


class Texts(HTMLParser):
    """What people read or hear on a page: its text, element by element, and labels; not what is marked as English."""

    def __init__(self, html):
        super().__init__()
        self.open, self.read, self.heard = [], [""], []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        named = dict(attrs)
        said = [value for name, value in attrs if value and name.startswith("data-") and " " in value]
        self.heard += [*said, *(value for name, value in attrs if value and name in LABELS)]
        if tag not in INLINE:
            self.read.append("")
        elif tag != "a":
            self.read[-1] += " "
        if tag not in VOID:
            self.open.append((tag, tag in UNSEEN or (tag != "html" and named.get("lang") == "en")))

    def handle_startendtag(self, tag, attrs):
        pass

    def handle_endtag(self, tag):
        while self.open and any(one == tag for one, _skip in self.open):
            if self.open.pop()[0] == tag:
                break
        if tag not in INLINE:
            self.read.append("")

    def handle_data(self, data):
        if not any(skip for _tag, skip in self.open):
            self.read[-1] += data


def texts_of(html):
    found = Texts(html)
    return [text for one in (*found.read, *found.heard) if (text := plain(one)) and not text.startswith("/")]


def plain(text):
    """A text with single spaces, without the marks of figures from memory and the titles that it quotes."""
    return " ".join(re.sub("[*\u2060]|«[^»]*»", "", text).split())


@pytest.fixture
def site(course, teacher):
    """The demo's day, planned, with an open invitation and a student who has left, by the arguments of addresses."""
    day = load_demo(course.school, course)
    finish_demo_plan(begin_demo_plan(day, teacher), teacher)
    wax = Wax.objects.filter(day=day, student=demo_visitor(course)).first()
    given = {"day_id": day.pk, "wax_id": wax.pk, "course_id": day.course_id, "student_id": wax.student_id}
    given["defect_id"] = PieceDefect.objects.create(wax=wax, kind="rough", where="thin", by=teacher).pk
    given["recast_id"] = Recast.objects.create(wax=wax, fate="again", at=timezone.now(), by=teacher).pk
    given |= {"kind": "metals", "step": "metals", "row_id": wax.alloy_id, "entry_id": an_entry(day, teacher).pk}
    given |= {"change_id": remove(teacher, StudentFactory(course=day.course).pk).pk}
    given |= {"person_id": teacher.pk, "invitation_id": invite(teacher, "Nadia", Role.HELPER)[0].pk}
    return given | {"label": "A", "key": "mix", "which": "all", "code": day.course.code}


NAMING = {"name", "called", "what", "town", "on_call", "contact", "emergency_number"}


def names_given():
    """Every name that somebody of the school typed or that its shelf began with, and what a wax is called."""
    names = set()
    for model in [one for one in apps.get_models() if one._meta.app_label in ("casting", "school")]:
        columns = {one.name for one in model._meta.fields} & NAMING
        for column in sorted(columns):
            names |= {str(name) for name in model._default_manager.values_list(column, flat=True) if name}
    return names | {row["key"] for row in material_rows()}


def any_of(texts):
    """What finds any of these texts, the longest first, as whole words."""
    longest_first = sorted({plain(text) for text in texts} - {""}, key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest_first))})(?!\w)", re.IGNORECASE)


@cache
def translated():
    """The English texts that have another text in Spanish."""
    with override("es"):
        return {text for text in known() if gettext(text) != text} - BOTH_LANGUAGES


def english_in(html, aside):
    """The texts of a page that are English, without the names and sentences set aside."""
    found = []
    for text in texts_of(html):
        bare = aside.sub("", text)
        if bare.strip() in translated() or (bare.strip() not in BOTH_LANGUAGES and ENGLISH.search(bare)):
            found.append(text)
    return found


LEAST = {"teacher": 35, "helper": 35, "student": 8, "nobody": 6}
"""Pages that each of them opens at least, so that the walk is one."""


@pytest.mark.usefixtures("blank_papers")
def test_no_page_is_half_in_english(site, course, teacher_client, client):
    clients = {
        "teacher": teacher_client,
        "helper": client_of_teacher(PersonFactory(school=course.school, role=Role.HELPER)),
        "student": client_of_student(demo_visitor(course)),
        "nobody": client,
    }
    aside = any_of(names_given())
    for who, least in LEAST.items():
        opened, english = pages_opened(clients[who], site, aside)
        assert english == {} and opened >= least, who


def pages_opened(client, site, aside):
    """How many pages somebody is shown at all addresses, and what is English on each."""
    opened, english = 0, {}
    for name, given in ROUTES:
        page = client.get(reverse(name, kwargs={key: site[key] for key in given}), headers=SPANISH)
        if "html" in page.get("Content-Type", "") and page.content:
            html = page.content.decode()
            assert '<html lang="es">' in html or "<html" not in html, name
            with override("es"):
                if found := english_in(html, aside):
                    english[name] = found
            opened += 1
    return opened, english


def test_a_page_with_an_english_sentence_is_found():
    page = "<main><h1>Ceras</h1><p>{}</p><p lang='en'>The maker's own sheet</p></main>"
    with override("es"):
        aside = any_of(["Ring for Ana"])
        assert english_in(page.format("Aún no hay ceras."), aside) == []
        assert english_in(page.format("No wax yet."), aside) == ["No wax yet."]
        assert english_in(page.format("Save"), aside) == ["Save"]
        assert english_in(page.format("<b aria-label='Save'>Ring for Ana</b>, 2 g"), aside) == ["Save"]
