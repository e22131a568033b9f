"""What a school starts with, and the invented class."""

import datetime as dt
import json

from casting.calc.values.enums import Reason
from casting.dayfile import read
from casting.models import Alloy, CastingDay, FlaskSize, HouseRules, Wax
from casting.presenters.wax_preview import told_of
from casting.selectors.day_file import day_file_of
from casting.services.stock import FIXTURES, load_demo, stock_school
from tests.casting.example_day import bare
from tests.factories import CourseFactory

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
        assert Alloy.objects.get(school=school, key=alloy["key"]).to_day() == row


def test_stocking_twice_changes_nothing_that_the_school_changed(school):
    stock_school(school)
    Alloy.objects.filter(school=school, key="sterling").update(pour_c=985)
    stock_school(school)
    assert Alloy.objects.get(school=school, key="sterling").pour_c == 985


def test_the_demo_is_loaded_once(course):
    day = load_demo(course.school, course, dt.date(2026, 11, 25))
    assert load_demo(course.school, course, dt.date(2027, 2, 1)) == day
    assert CastingDay.objects.count() == 1
    assert 12 <= Wax.objects.count() <= 14


def test_the_demo_pours_on_a_saturday_some_weekends_ahead(course):
    today = dt.date(2026, 11, 25)
    local = load_demo(course.school, course, today).pour_local()
    assert (local.strftime("%A"), f"{local:%H:%M}") == ("Saturday", "10:00")
    assert dt.timedelta(weeks=3) <= local.date() - today < dt.timedelta(weeks=4)


def test_two_classes_have_two_demos(course):
    load_demo(course.school, course)
    other = CourseFactory(school=course.school)
    load_demo(course.school, other)
    assert CastingDay.objects.count() == 2


def test_the_demo_tells_its_story(course):
    day = load_demo(course.school, course)
    waxes = list(day.waxes.standing())
    told = told_of(day, waxes)
    barred = [wax.what for wax in waxes if told[wax.tag].left_out]
    assert len(barred) == 1 and barred[0].startswith("tall")
    assert {one.left_out.reason for one in told.values() if one.left_out} == {Reason.TOO_TALL}
    assert {wax.alloy.key for wax in waxes} == {"sterling", "si-bronze", "gold-14k"}
    assert sum(wax.pattern.kind == "resin" for wax in waxes) == 1
    assert course.students.filter(waxes=None).count() == 1
    assert read(day_file_of(day)).day.hours


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
