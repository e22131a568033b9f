"""The stock that every new school starts with."""

import json
from datetime import date

from django.utils.translation import override

from casting.calc.values.marked_text import in_a_sentence
from casting.dayfile import read
from casting.models import Alloy, Firing, FlaskSize, HouseRules, Investment, Kiln, PatternMaterial
from casting.services.stock import FIXTURES, retold, stock_school
from tests.days.example_file import bare

FILE = json.loads((FIXTURES / "shelf.json").read_text("utf-8"))


def test_every_row_of_the_shelf_is_stocked_with_its_sources(school):
    stock_school(school)
    shelf = FILE["shelf"]
    assert FlaskSize.objects.filter(school=school).count() == len(shelf["flask_sizes"])
    sterling = Alloy.objects.get(school=school, key="sterling")
    assert sterling.specific_gravity == 10.36
    assert sterling.sources["liquidus_c"]["source"]
    offered = Alloy.objects.filter(school=school, offered=True).values_list("key", flat=True)
    assert set(offered) == set(FILE["offered"])
    assert HouseRules.objects.get(school=school).rules == shelf["rules"]


def test_a_row_goes_into_a_day_file_as_it_came(school):
    stock_school(school)
    for alloy in FILE["shelf"]["alloys"]:
        row = {key: value for key, value in alloy.items() if value is not None}
        made = Alloy.objects.get(school=school, key=alloy["key"]).to_day()
        assert {figure: value for figure, value in made.items() if figure != "from_memory"} == row


def test_a_school_s_things_are_named_in_the_language_of_whoever_makes_it(school):
    with override("es"):
        stock_school(school)
    named = {
        model: dict(model.objects.filter(school=school).values_list("key", "name"))
        for model in (Alloy, PatternMaterial, Investment, Kiln, FlaskSize, Firing)
    }
    english = {"Sterling silver", "Carving wax", "Gypsum", "Kiln 1"} | {row["name"] for row in FILE["shelf"]["alloys"]}
    assert english.isdisjoint(name for names in named.values() for name in names.values())
    assert named[Alloy]["sterling"] == "Plata de ley 925" and named[Alloy]["gold-10k"] == "Oro amarillo de 10 k"
    assert (named[PatternMaterial]["carving-wax"], named[Investment]["gypsum"]) == ("Cera de tallar", "Yeso")
    assert named[Kiln]["k1"] == "Horno 1" and named[FlaskSize]["51x64"] == "51x64"
    assert in_a_sentence(named[Alloy]["si-bronze"]) == "bronce al silicio"


def test_stocking_twice_changes_nothing_that_the_school_changed(school):
    stock_school(school)
    Alloy.objects.filter(school=school, key="sterling").update(pour_c=985)
    stock_school(school)
    assert Alloy.objects.get(school=school, key="sterling").pour_c == 985


def test_a_school_keeps_a_flask_with_a_tree(school):
    rows = {
        "102x152": {"mount": "tree", "trunk_mm": 9, "trunk_gap_mm": None},
        "76x152": {"mount": "tree"},
        "64x152": {},
    }
    for key, more in rows.items():
        FlaskSize.objects.create(school=school, key=key, name=key, diameter_mm=76.2, height_mm=152.4, count=1, **more)
    sizes = read(bare(flask_sizes=[row.to_day() for row in FlaskSize.objects.filter(key__in=rows)])).day
    trunks = {size.key: (size.mount, size.trunk_mm, size.trunk_gap_mm) for size in sizes.flask_sizes}
    assert trunks == {"102x152": ("tree", 9, 6), "76x152": ("tree", 8, 6), "64x152": ("cone", None, None)}


def test_a_figure_that_the_school_changed_loses_the_shelf_s_source(school):
    stock_school(school)
    bronze = Alloy.objects.get(school=school, key="si-bronze")
    before = bronze.to_day()
    bronze.flask_c = bronze.flask_c | {"thin": [560, 610]}
    bronze.pour_c = 1060.0
    retold(bronze, before, date(2027, 3, 14))
    own = {"source": "typed by the school, 2027-03-14", "status": "judgement"}
    assert bronze.sources["flask_c.thin"] == bronze.sources["pour_c"] == own
    # what was not changed keeps its source and its mark
    left = ["flask_c.heavy", "flask_c.medium", "flask_c.very_thin", "quench_min_by_diameter"]
    assert bronze.to_day()["from_memory"] == left


def test_a_source_that_was_typed_with_its_figure_stays(school):
    stock_school(school)
    bronze = Alloy.objects.get(school=school, key="si-bronze")
    before, sheet = bronze.to_day(), {"source": "our supplier's sheet", "status": "published"}
    told = dict(bronze.sources)
    bronze.pour_c, bronze.sources = 1060.0, told | {"pour_c": sheet}
    retold(bronze, before, date(2027, 3, 14), told)
    assert bronze.sources["pour_c"] == sheet
