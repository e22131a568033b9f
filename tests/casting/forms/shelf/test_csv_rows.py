"""The shelf's figures as rows: in the school's units, numbers as numbers, nothing where nothing is recorded."""

from decimal import Decimal

from django.utils import translation

from casting.forms.shelf.csv_rows import shelf_header, shelf_rows
from casting.models import FlaskSize, Kiln
from casting.presenters.shelf_page import KINDS
from casting.services.stock import stock_school


def rows_of(school, *slugs):
    return list(shelf_rows([KINDS[slug] for slug in slugs or KINDS], school))


def figures(school, slug, name):
    return {row[3]: (row[4], row[5]) for row in rows_of(school, slug) if row[1] == name}


def test_each_row_has_a_cell_for_each_head(school):
    stock_school(school)
    assert {len(row) for row in rows_of(school)} == {len(shelf_header())}


def test_lengths_are_in_the_school_s_unit(school):
    stock_school(school)
    kiln = Kiln.objects.filter(school=school).first()
    assert (Decimal(str(kiln.width_mm)), "mm") in figures(school, "kilns", kiln.name).values()
    school.length_unit = "in"
    school.save()
    inches = [value for value, unit in figures(school, "kilns", kiln.name).values() if unit == "in"]
    # An inch is 25.4 mm.
    assert any(abs(float(value) * 25.4 - float(kiln.width_mm)) < 0.02 for value in inches)


def test_a_comma_of_another_language_is_a_point(school):
    stock_school(school)
    plain = rows_of(school, "metals")
    with translation.override("es"):
        assert [row[4] for row in rows_of(school, "metals") if isinstance(row[4], Decimal)] == [
            row[4] for row in plain if isinstance(row[4], Decimal)
        ]


def test_what_is_put_away_says_so_and_what_is_not_recorded_is_left_out(school):
    stock_school(school)
    size = FlaskSize.objects.filter(school=school).first()
    FlaskSize.objects.filter(pk=size.pk).update(offered=False)
    rows = [row for row in rows_of(school, "flasks") if row[1] == size.name]
    assert {row[2] for row in rows} == {"put away"} and all(row[4] not in (None, "") for row in rows)


def test_one_query_for_each_kind(school, django_assert_num_queries):
    stock_school(school)
    with django_assert_num_queries(len(KINDS)):
        rows_of(school)
