"""The shelf as its pages show it."""

import pytest

from casting.models import Alloy, Firing, FlaskSize, Kiln
from casting.presenters.figure_words import Reader
from casting.presenters.shelf_page import KINDS, Parts, listing, notes_of, parts_come_to
from casting.services.stock import stock_school


@pytest.fixture
def reader(school):
    stock_school(school)
    return Reader(school)


def test_a_list_has_the_school_s_order_and_what_is_put_away_apart(reader):
    metals = listing(KINDS["metals"], reader)
    assert [one.called for one in metals.rows][:2] == ["Fine silver", "Sterling silver"]
    assert "Copper" in [one.called for one in metals.away]
    sterling = metals.rows[1]
    assert sterling.cells[metals.heads.index("Metal temperature at the pour")][0].startswith("970")


def test_a_figure_from_memory_has_its_star_in_the_list(reader):
    metals = listing(KINDS["metals"], reader)
    bronze = next(one for one in metals.rows if one.row.key == "si-bronze")
    # shelf.json says of the bronze's flask temperatures that they are from memory
    assert "*" in bronze.cells[metals.heads.index("Flask temperature, medium work")][0]
    assert "*" not in bronze.cells[0][0]


def test_what_is_not_recorded_has_no_star(reader):
    Kiln.objects.filter(key="k1").update(max_c=None, delayed_start=None)
    kilns = listing(KINDS["kilns"], reader)
    assert kilns.rows[0].cells[-1] == ["not recorded"]


def test_every_column_has_its_source_and_the_shelf_s_value_only_where_it_differs(reader, school):
    sterling = Alloy.objects.get(school=school, key="sterling")
    notes = notes_of(sterling, reader)
    assert set(notes) == {"name", *Alloy.figures}
    assert notes["liquidus_c"].origins and not notes["liquidus_c"].stock
    sterling.pour_c = 985
    assert notes_of(sterling, reader)["pour_c"].stock == ["970\u202f°C"]
    sterling.flask_c = sterling.flask_c | {"thin": [560, 610]}
    assert len(notes_of(sterling, reader)["flask_c"].stock) == 4


def test_parts_of_a_column_with_sources_of_their_own_are_named(reader, school):
    sterling = Alloy.objects.get(school=school, key="sterling")
    sterling.sources = sterling.sources | {"flask_c.thin": {"source": "our own trial", "status": "judgement"}}
    own = [one for one in notes_of(sterling, reader)["flask_c"].origins if one[1] == "Our own trial"]
    assert own == [("thin", "Our own trial", "judgement", False)]


def test_a_row_that_the_school_made_has_nothing_to_put_back(reader, school):
    firing = Firing.objects.get(school=school, key="6h")
    firing.key, firing.max_height_mm = "ours", 50
    assert not any(note.stock for note in notes_of(firing, reader).values())


def test_parts_come_to_a_sum_and_to_a_gravity_only_if_all_are_known():
    assert parts_come_to({}, 10.36) == Parts()
    assert parts_come_to({"Ag": 92.5, "Cu": None}, 10.36) == Parts("92.5\u202f%")
    assert parts_come_to({"Ag": 92.5, "Cu": 6.5}, 10.36) == Parts("99\u202f%", whole=False)
    assert parts_come_to({"Ag": 50, "Qq": 50}, None) == Parts("100\u202f%")
    # elements.json: silver 10.5, copper 8.96; 100 / (50 / 10.5 + 50 / 8.96) = 9.67, and 9.2 is 4.9 % less
    assert parts_come_to({"Ag": 50, "Cu": 50}, 9.2) == Parts("100\u202f%", "9.67", "4.9\u202f%")


def test_a_kiln_s_chamber_is_one_cell(reader):
    kilns = listing(KINDS["kilns"], reader)
    assert kilns.rows[0].cells[0] == ["356\u202fmm × 356\u202fmm × 250\u202fmm"]


def test_what_plans_take_for_an_empty_box_is_said(reader, school):
    size = FlaskSize.objects.get(school=school, key="51x64")
    notes = notes_of(size, reader)
    # outside by 4 mm more than inside, and a cone of 19 mm for flasks up to 51 mm (casting/PLAN_FILE.md)
    assert notes["outside_mm"].follows == ["54.8\u202fmm"] and notes["hub_mm"].follows == ["19\u202fmm"]
    assert not notes["diameter_mm"].follows and not notes["trunk_mm"].follows
    sterling = Alloy.objects.get(school=school, key="sterling")
    sterling.price_per_g = None
    assert notes_of(sterling, reader)["price_per_g"].follows == ["1.10 USD a gram"]
    sterling.pour_c = 20
    assert not notes_of(sterling, reader)["price_per_g"].follows


def test_a_firing_goes_by_the_school_s_name_with_what_it_is_for_beside_it(reader):
    Firing.objects.filter(key="6h").update(name="Short Friday firing")
    first = listing(KINDS["firings"], reader).rows[0]
    assert first.called == "Short Friday firing" and first.cells[0] == ["64\u202fmm × 77\u202fmm"]
