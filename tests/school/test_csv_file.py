"""A list as a file for a spreadsheet, read back with the standard reader."""

import csv
import datetime as dt
import io
from decimal import Decimal

import pytest

from school.csv_file import answer_csv, csv_of


def read(content):
    assert content.startswith(b"\xef\xbb\xbf")  # the mark by which a spreadsheet knows UTF-8
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))


@pytest.mark.parametrize(
    "hostile",
    [
        '=HYPERLINK("http://example.invalid","x")',
        "+1",
        "-2+3",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        "\n=1",
        " =1",
        "＝1",
    ],
)
def test_no_text_is_read_as_a_formula(hostile):
    ((head, beside), (cell, fair)) = read(csv_of([hostile, "b"], [[hostile, "plain, 'band'"]]))
    assert head == cell == "'" + hostile and (beside, fair) == ("b", "plain, 'band'")


def test_numbers_are_plain_with_a_point_and_never_taken_for_text():
    moment = dt.datetime(2030, 5, 4, 10, 30, tzinfo=dt.UTC)
    (_head, row) = read(csv_of(["a"] * 6, [[Decimal("3.2000"), -1.5, 1e-7, 1200000, None, moment]]))
    assert row == ["3.2000", "-1.5", "0.0000001", "1200000", "", "2030-05-04 10:30"]


def test_commas_quotes_and_line_breaks_stay_in_their_cell():
    odd = 'ring, "big"\nand\r\nSunniva Økoro 李'
    assert read(csv_of(["What"], [[odd]])) == [["What"], [odd]]


def test_it_is_kept_as_a_file():
    answer = answer_csv("waxes-2030-05-04", ["a"], [])
    assert answer["Content-Disposition"] == 'attachment; filename="waxes-2030-05-04.csv"'
    assert answer["Content-Type"] == "text/csv; charset=utf-8" and answer["X-Content-Type-Options"] == "nosniff"
