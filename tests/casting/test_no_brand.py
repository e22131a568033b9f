"""No supplier's brand stands on a screen or a paper: brands are named in the sources of figures alone."""

import json
import re

import pytest
from django.urls import reverse

from casting.dayfile.shelf_file import FIXTURES
from casting.papers.registry import PAPERS
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

BRANDS = ("Stuller", "Romanoff", "BlueCast", "ESPI", "Hoover", "Rio Grande", "AU Enterprises")
"""Every supplier whose text is a source of a figure; Hoover and Rio Grande stand in the notes behind them."""

NO_SUPPLIERS = """
AC ACGIH ANSI ASTM Anal Annex BS British CFR Cal Calorim College Copper Directive DuPage EC EH EN EU Fahlman Five
General Gilman Gold HSE HSG Hazard How III ISEA ISO Ingo Johns Laboratory Materials May McCreight NFPA NHS NIOSH
NSEAD OSHA Practical Prudent REACH Rose Silver Standard Successful Table The Therm Title Todd VM Weights Where
Working World XVII Metals
"""
"""First words of authorities, standards, authors, journals, places and titles in the sources."""

FILES = ("shelf", "cautions", "safety_limits", "safety_kit", "elements", "label_stock")
PAGES = ("day_plan", "flasks", "papers", "waxes")


def sources_in(value):
    """Every text under a key `source`, however deep."""
    if isinstance(value, dict):
        found = [value["source"]] if isinstance(value.get("source"), str) else []
        return found + [text for inner in value.values() for text in sources_in(inner)]
    return [text for inner in value for text in sources_in(inner)] if isinstance(value, list) else []


def named_in(text):
    """The brands that a text names."""
    return [brand for brand in BRANDS if re.search(rf"\b{brand}\b", text)]


def test_the_list_has_every_supplier_that_a_source_names():
    files = [json.loads((FIXTURES / f"{name}.json").read_text("utf-8")) for name in FILES]
    names = {name for text in sources_in(files) for name in re.findall(r"\b[A-Z][A-Za-z]+(?: [A-Z][a-z]+)*", text)}
    assert {"Stuller", "Romanoff", "AU Enterprises"} <= names
    unknown = {name for name in names if not named_in(name) and name.split()[0] not in NO_SUPPLIERS.split()}
    assert not unknown, "a supplier belongs into BRANDS, any other name into NO_SUPPLIERS"


@pytest.fixture
def planned_day(day, student, teacher):
    handed_in(day, student)
    return make_plan(day, teacher)


def test_no_paper_names_a_supplier(planned_day):
    pages = {paper.key: paper.html(job_of(planned_day)) for paper in PAPERS}
    assert pages["weigh-out"] and pages["teacher-safety"]
    assert not {key: named_in(page) for key, page in pages.items() if page and named_in(page)}


@pytest.mark.parametrize("name", PAGES)
def test_no_screen_names_a_supplier(day, planned_day, teacher_client, name):
    page = teacher_client.get(reverse(name, args=[day.pk]))
    assert page.status_code == 200
    assert not named_in(page.content.decode())


def test_a_brand_is_found_where_it_stands():
    assert named_in("published by Stuller for silver") == ["Stuller"]
    assert not named_in("published by a metal supplier")
