"""Links from figures to the rows that they come from."""

from casting.calc.values.enums import Asked, Do, Level
from casting.calc.values.marked_text import FROM_MEMORY
from casting.presenters.cautions import ShownCaution
from casting.templatetags.sources import (
    caution_words,
    heat_source,
    leads_to,
    left_out_words,
    ramp_source,
    rule_source,
    stars_to,
    step_words,
    working_rows,
)
from tests.casting.presenters.test_from_memory import sheet_of
from tests.casting.presenters.test_source_rows import step_of


def caution(id, text):
    return ShownCaution(id, Level.WARN, Asked.PLAN, text, "common practice", text, (), True)


def test_a_figure_is_a_link_to_its_row():
    assert leads_to("970 <C>", "rules.wall_mm") == '<a class="source" href="/sources/#rules.wall_mm">970 &lt;C&gt;</a>'


def test_only_the_stars_of_a_sentence_are_links():
    words = stars_to(f"Heat <it> to 538{FROM_MEMORY} C.", "rules.wall_mm")
    assert words.startswith("Heat &lt;it&gt; to 538<a ") and words.count("<a ") == 1
    assert 'href="/sources/#rules.wall_mm"' in words and f">{FROM_MEMORY}</a> C." in words
    assert stars_to("my ring * <b>", "rules.wall_mm") == "my ring * &lt;b&gt;"
    assert stars_to(f"538{FROM_MEMORY}", "") == f"538{FROM_MEMORY}"


def test_the_words_of_a_plan_lead_to_their_metal():
    sheet = sheet_of("alloys", ["flask_c", "quench_min_by_diameter"])
    (night,), metal = sheet.kilns, f"#alloys.{sheet.flasks[0].alloy.key}"
    assert metal in step_words(sheet, step_of(sheet, Do.SOAK))
    assert metal in caution_words(sheet, caution("N-07", f"Wait 10{FROM_MEMORY} minutes."))
    assert metal in heat_source("538", sheet, night, night.segments[-1])
    assert "#kilns." in ramp_source("100", sheet, night, night.segments[-1])
    assert f"specific gravity of {sheet.flasks[0].alloy.called}" in dict(working_rows(sheet, sheet.flasks[0]))


def test_why_a_wax_is_left_out_leads_to_its_metal():
    sheet = sheet_of("alloys", ["flask_c"])
    wax = sheet.flasks[0].waxes[0]
    line = type("Line", (), {"name": wax.name, "detail": f"It asks for 538{FROM_MEMORY}."})()
    assert f"#alloys.{wax.wax.alloy}" in left_out_words(sheet, line)


def test_a_caution_leads_to_its_rule_and_tells_its_source_to_those_who_cannot_see():
    link = rule_source(caution("R-21", "Do not pour."))
    assert 'href="/sources/#cautions.R-21"' in link and 'aria-label="source: common practice"' in link
