"""The sources of the shelf file, and what a page says in place of those that name a supplier."""

import json
import re

from casting.dayfile.shelf_file import FIXTURES
from casting.dayfile.sources_file import element_rows, material_rows, origins, told_as
from tests.casting.test_no_brand import named_in, sources_in

ON_THE_PAGE = [json.loads((FIXTURES / f"{name}.json").read_text("utf-8")) for name in ("shelf", "cautions", "elements")]
TOLD_AS = json.loads((FIXTURES / "told_as.json").read_text("utf-8"))["told_as"]


def test_every_source_that_names_a_supplier_has_words_without_one():
    naming = {source for source in sources_in(ON_THE_PAGE) if named_in(source)}
    assert len(naming) > 10
    assert {source for source in naming if named_in(told_as(source))} == set()


def test_every_line_stands_for_a_source_that_there_is():
    assert set(TOLD_AS) <= set(sources_in(ON_THE_PAGE))


def test_other_sources_are_told_as_they_are():
    assert told_as("common practice") == "common practice"


def test_no_source_has_a_temperature_that_another_scale_cannot_show():
    # A figure of a source in its own Fahrenheit, as a data sheet prints it, stands beside its Celsius value.
    bare = [source for source in sources_in(ON_THE_PAGE) if re.search(r"\d C\b|\d °C|\d C/h", source)]
    assert bare == []


def test_the_sources_are_those_of_the_file():
    assert origins()["rules.wall_mm"]["status"] == "practice"
    assert "Ag" in {row["symbol"] for row in element_rows()}
    assert {"pvc", "cork"} <= {row["key"] for row in material_rows()}
