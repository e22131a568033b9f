"""The text of a day file, before anything in it is read."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from casting.calc.values.errors import Refused
from casting.dayfile import read
from tests.days.example_file import bare


def test_a_byte_order_mark_is_no_fault() -> None:
    assert read(b"\xef\xbb\xbf" + bare().encode()) == read(bare())


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=200) | st.text(max_size=200))
def test_any_bytes_and_any_text_are_refused_in_one_line(text: bytes | str) -> None:
    with pytest.raises(Refused) as refused:
        read(text)
    assert len(str(refused.value).splitlines()) == 1
