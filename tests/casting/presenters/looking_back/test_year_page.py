"""A year in words: a row for each month that has something, empty where nothing is weighed, and its plots."""

from decimal import Decimal as D

from casting.calc.quantities.account.balance import FlaskMetal
from casting.presenters.looking_back.year_page import YearPage, year_table
from casting.selectors.looking_back.year import Month, Tally, Year

METAL = FlaskMetal(D("239"), D("198"), D("37"), D("2"))
"""Of 239 g 198 are castings, 82.85 %; 2 g are lost, 0.84 %."""


def page_of(school, **months):
    rows = [months.get(f"m{nth}", Month(nth)) for nth in range(1, 13)]
    return YearPage(Year(2025, rows, {"sterling": Tally(2, 2, 6, 0, METAL)}, [2023, 2025, 2026]), school)


def told(page):
    heads, rows = iter(column.slug for column in page.columns), {}
    for table in page.tables:
        slugs = [next(heads) for _head in table.heads]
        for name, cells in table.rows:
            rows.setdefault(name, {}).update(zip(slugs, cells, strict=True))
    return rows


def test_a_month_that_is_weighed_and_one_that_is_not(school):
    march = Month(3, 2, Tally(2, 2, 6, 0, METAL), 1, 566, D(500))
    april = Month(4, 1, Tally(1))
    rows = told(page_of(school, m3=march, m4=april))
    assert list(rows) == ["March", "April"]
    assert rows["March"] == {
        "days": "2", "poured": "2", "settled": "2", "pieces": "6", "defects": "1",
        "weighed": "239.00\u202fg", "castings": "198.00\u202fg", "yield": "82.8\u202f%", "loss_g": "2.00\u202fg",
        "loss": "0.8\u202f%", "powder": "0.6\u202fkg", "came": "500.00\u202fg", "went": "0.00\u202fg",
    }  # fmt: skip
    assert {rows["April"][slug] for slug in ("pieces", "weighed", "castings", "yield", "loss_g", "loss")} == {""}
    assert rows["April"]["poured"] == "1" and rows["April"]["settled"] == "0"


def test_a_list_has_all_twelve_months_and_nothing_where_nothing_is_weighed(school):
    header, rows = year_table(page_of(school, m3=Month(3, 2, Tally(2, 2, 6, 0, METAL), 1, 566)))
    by_head = dict(zip(header, rows[2], strict=True))
    assert by_head["Month"] == "2025-03" and by_head["Lost [%]"] == D("0.84") and by_head["Pieces"] == 6
    assert dict(zip(header, rows[0], strict=True))["Lost [%]"] is None and len(rows) == 12


def test_a_plot_has_a_value_for_each_month_and_names_the_highest(school):
    page = page_of(school, m3=Month(3, 2, Tally(2, 2, 6, 0, METAL), 1, 566))
    pieces, _powder, weighed, _loss = page.plots
    assert pieces.values[2] == 6 and pieces.values[0] is None and pieces.parts[2] == 1 and pieces.most == "6"
    assert weighed.parts[2] == 198 and weighed.most == "239.00\u202fg"


def test_what_there_is_nothing_of_is_not_drawn(school):
    page = page_of(school, m3=Month(3, 2, Tally(1, 0), 0, 0, came_g=D(500)))
    assert page.plots == [] and page.tables


def test_the_years_beside_it_are_those_with_a_day(school):
    page = page_of(school)
    assert (page.before, page.after) == (2023, 2026)
