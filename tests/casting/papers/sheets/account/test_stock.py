"""The stock sheet says what the account says."""

import re

from casting.papers.sheets.account.stock import stock_html
from tests.casting.account_days import cast, invest, lot_of
from tests.casting.papers.printed import job_of


def test_each_heap_stands_with_a_box_for_what_is_counted(planned, teacher, school):
    assert "No metal is booked yet." in stock_html(job_of(planned))
    invest(planned, teacher)
    cast(planned, "A", lot_of(school, teacher, certificate="C-17"), teacher)
    page = re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", stock_html(job_of(planned))))
    for line in ("Lot 1 C-17 380.50 g", "Buttons, melted once 87.65 g", "Sprues, melted once 1.00 g"):
        assert line in page
    assert "the school's: 469.15 g" in page  # 380.5 + 87.65 + 1
