"""The safety handout: two sides, the day's own dangers, short words, English and Spanish."""

import html
import re
from datetime import UTC, datetime

import pytest
from django.utils.translation import override

from casting.calc.values.day_input import Pattern
from casting.calc.values.enums import Kind, Level, Powder
from casting.dayfile.rules_file import rulebook
from casting.drawings.signs import FIGURES, MEANING
from casting.models import Alloy, CautionCleared, PaperPrinted, SafetyRecord, Wax
from casting.papers.edition import Edition
from casting.papers.pdf.render import render
from casting.papers.sheets import handout_words as words
from casting.papers.sheets.handout import (
    Metal,
    figures_of,
    handout_es_html,
    handout_html,
    material_words,
    metal_words,
    powder_words,
    stops_of,
    wanted,
)
from casting.presenters.cautions import ShownCaution, cautions_of_day
from casting.presenters.formats import SchoolUnits
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of, words_by_type
from tests.casting_factories import handed_in
from tests.days.written_plans import plan_of_24

LANGUAGES = pytest.mark.parametrize("html_of", [handout_html, handout_es_html], ids=["en", "es"])


def raised(rule_id, text=None, **changed):
    """A caution of the rule book as a day shows it."""
    rule = rulebook().rules[rule_id]
    known = {
        "id": rule_id, "level": rule.level, "when": rule.when, "text": text or rule.text, "basis": rule.basis,
        "as_raised": text or rule.text,
        "signs": rule.signs, "clearable": rule.clearable,
    }  # fmt: skip
    return ShownCaution(**known | changed)


def lines_of():
    """Every line of the sheet that may stand on it."""
    yield from (line.text for line in words.STOPS)
    yield from (text for _sign, text in words.WEAR)
    yield from (line.text for _title, lines in words.STEPS for line in lines)
    yield from (trouble.text for trouble in words.WRONG)
    yield from (words.TERMS, words.DISCLAIMER)


def unrecorded(day):
    """The same day in a school that has recorded nothing of its room, people and kit."""
    SafetyRecord.objects.filter(school=day.course.school).delete()
    return day


@LANGUAGES
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_two_sides_are_enough_even_for_a_school_that_recorded_nothing(day, html_of, paper):
    day.course.school.paper = paper
    assert len(pages_of(render(html_of(job_of(unrecorded(day)))))) == 2


def test_the_sections_come_in_the_order_of_need(day):
    page = handout_html(job_of(day)).partition("<h1>")[2]
    headings = [
        "STOP", "What we use today", "Wear this", "Where things are", "Step by step", "If it goes wrong",
        "This sheet was made", "I have read this", "Name", "Date", "Checked by",
    ]  # fmt: skip
    for heading in headings:
        _before, found, page = page.partition(f">{heading}")
        assert found, heading


def test_no_type_is_under_10_5_points_and_the_stop_lines_have_14(day):
    made = render(handout_html(job_of(day)))
    for page in (0, 1):
        assert min(size for _word, size in words_by_type(made, page, 0)) >= 10.5
    large = " ".join(word for word, size in words_by_type(made, 0, 14) if size == 14)
    for line in ("cold mould. Do not pour.", "two big steps.", "Do not melt plated, costume or", "Stay out."):
        assert all(word in large for word in line.split())


def test_a_sentence_has_at_most_fifteen_words():
    for text in lines_of():
        for sentence in re.split(r"[.?!;]", str(text)):
            assert len(sentence.split()) <= 15, sentence


@LANGUAGES
def test_nothing_on_it_promises_safety(day, html_of):
    page = html_of(job_of(day)).lower().replace("safety data sheets", "")
    assert not re.search(r"\b(safe|safely|approved|complies|guarantee|aprobad[oa]|cumple|garantiza|sin riesgo)\b", page)


def test_what_is_easily_forgotten_stands_on_it(day):
    text = " ".join(pages_of(render(handout_html(job_of(day)))))
    for line in (
        "Keep the door shut from wax-out until the kiln has passed about 450",
        "Practise the pour with a cold, empty flask first",
        "Put the mask on for the quench",
        "Choose a warm, dry ingot mould before you melt",
        "One pour at a time",
        "Do not cross the line while metal is liquid",
        "one crucible and one stirring rod for each metal",
        "flask that fell below 275 °C. Do not reheat it",
        "when ready, it is bright and rolls like one drop",
        "under cool running water for 20 minutes",
        "breathed metal fume",
    ):
        assert line in text.replace("\u202f", " ")


def test_a_school_that_reads_fahrenheit_has_its_own_degrees(day):
    day.course.school.temperature_unit = "F"
    text = handout_html(job_of(day)).replace("\u202f", " ")
    # 450 x 1.8 + 32 = 842; 275 x 1.8 + 32 = 527; limits, up to the next ten.
    assert "has passed about 850 °F" in text and "below 530 °F" in text


def test_what_nobody_recorded_says_so_and_counts_as_yes(day):
    page = handout_html(job_of(unrecorded(day)))
    # Six places, solvent, pickle, what melts, and the number of the gauge.
    assert page.count("not recorded, ask") == 10
    assert "Do not light the torch until it has passed its leak test." in page and "No hot work until eyewash" in page


def test_where_things_are_is_the_schools_own_text(day):
    SafetyRecord.objects.filter(school=day.course.school).update(exits="Green door <b>left</b>")
    page = handout_html(job_of(day))
    assert "Green door &lt;b&gt;left&lt;/b&gt;" in page


def test_a_line_for_one_danger_stays_away_without_it(day):
    page = handout_html(job_of(day))
    assert "pacemaker or other implant" not in page and "Do not cast on wet ground" not in page


def test_the_fan_line_names_its_metals(day):
    cautions = [raised("R-01b", "Do not melt silicon bronze until the fume fan is on.")]
    metals = [Metal("Silicon bronze", {"Cu": 96, "Zn": 4}), Metal("Sterling silver", {"Ag": 92.5, "Cu": 7.5})]
    figures = figures_of(SchoolUnits(), metals, cautions) | {"vacuum": "28 inHg or more"}
    texts = [said.text for said in stops_of(cautions, figures)]
    assert "Do not melt silicon bronze until the fume fan is on." in texts
    assert not any("fume fan" in said.text for said in stops_of([], figures))


def test_a_stop_that_no_line_speaks_for_is_said_in_its_own_words():
    figures = figures_of(SchoolUnits(), [], []) | {"vacuum": ""}
    caution = raised("N-14-fast", "Do not use firing x: 600 C an hour bursts plaster.")
    assert stops_of([caution], figures)[-1].text == caution.text
    with override("es"):
        assert stops_of([caution], figures)[-1].foreign


def test_every_stop_of_the_rule_book_is_in_the_box_in_some_words():
    figures = figures_of(SchoolUnits(), [], []) | {"vacuum": ""}
    spoken = {rule for line in words.STOPS for rule in line.speaks_for}
    for rule in rulebook().rules.values():
        if rule.level is Level.STOP:
            said = {line.text for line in stops_of([raised(rule.id)], figures)}
            own = {str(line.text) % figures for line in words.STOPS if rule.id in line.speaks_for}
            assert own & said if rule.id in spoken else rule.text in said


def test_the_lines_name_rules_that_exist():
    lines = [*words.STOPS, *(line for _title, lines in words.STEPS for line in lines)]
    assert {rule for line in lines for rule in line.when | line.speaks_for} <= set(rulebook().rules)


def test_a_cleared_stop_leaves_the_box_and_says_who_and_why(day):
    stop = next(one for one in cautions_of_day(unrecorded(day)) if one.id == "R-16b")
    CautionCleared.objects.create(day=day, caution=stop.id, text=stop.text, by="Imre Valdane", reason="Tested at eight")
    page = handout_html(job_of(day))
    # What is cleared stands there in the rule's own words, with what was not recorded; the box's line is gone.
    assert page.count("passed its leak test.") == page.count("passed its leak test. Not recorded") == 1
    assert "Cleared by Imre Valdane: Tested at eight" in page


def test_the_age_of_who_only_watches_has_its_star_and_a_limit_that_is_not_from_memory_has_none(day):
    SafetyRecord.objects.update(youngest_age=11)
    page = handout_html(job_of(day))
    # R-28 rests on memory (safety notes); 25 ppm on ACGIH.
    assert "12* or younger: only watch" in page and "25 ppm?" in page
    assert "* from memory: check the supplier's sheet." in html.unescape(page)
    assert "Hasta los 12* años" in handout_es_html(job_of(day))
    SafetyRecord.objects.update(youngest_age=15)
    assert "or younger: only watch" not in handout_html(job_of(day))


def test_it_is_made_of_what_the_day_offers_and_no_plan_changes_it(day, teacher):
    page = handout_html(job_of(day))
    assert "14k yellow, zinc-free; Silicon bronze; Sterling silver" in page and "print resin" in page
    assert "Touch only washed and cured resin" in page and "ask for the half sheet with flasks" in page
    stored(day, teacher, *plan_of_24())
    assert handout_html(job_of(day)) == page


def test_a_wax_that_was_badly_weighed_costs_nobody_the_handout(day):
    page = handout_html(job_of(day))
    Wax.objects.filter(pk=handed_in(day).pk).update(wax_g=400)
    assert handout_html(job_of(day)) == page


def test_the_spanish_sheet_has_spanish_dates(day):
    day.pour_at = datetime(2027, 3, 14, 15, 0, tzinfo=UTC)
    assert "dom 14 mar 2027" in handout_es_html(job_of(day))
    assert "Sun 14 Mar 2027" in handout_html(job_of(day))


def test_a_later_edition_says_which_it_replaces(day, teacher):
    printed = PaperPrinted(day=day, key="handout", at=datetime(2027, 3, 10, 19, 5, tzinfo=UTC))
    job = job_of(day, edition=Edition(3, printed))
    english, spanish = handout_html(job), handout_es_html(job)
    on_its_clock = printed.at.astimezone(day.course.school.tz)
    assert "Edition 3, made before any plan. Replaces edition 2, printed Wed 10 Mar 2027" in english
    assert f"{on_its_clock:%H:%M}: put that one away" in english
    assert re.search(r"Edición 3.*edición 2", spanish)
    assert "Edition 1, made before any plan<" in handout_html(job_of(day)).replace("\n", "")


@LANGUAGES
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_all_stops_of_the_rule_book_at_once_still_take_two_sides(day, monkeypatch, html_of, paper):
    unrecorded(day).course.school.paper = paper
    everything = [raised(rule.id) for rule in rulebook().rules.values()]
    monkeypatch.setattr("casting.papers.sheets.handout.cautions_of_day", lambda *_day: everything)
    page = html_of(job_of(day))
    assert len(pages_of(render(page))) == 2
    assert re.search(r"Ask for \d+ more STOPs|Pregunta por \d+ ALTO", page)


@LANGUAGES
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_everything_hazardous_with_every_metal_of_the_shelf_takes_two_sides(day, html_of, paper):
    day.alloys.set(Alloy.objects.filter(school=day.course.school))
    hazards = {"fuel": "acetylene", "melter": "torch", "youngest_age": 11, "hours_unattended": 20, "eyewash": False}
    hazards |= dict.fromkeys(("solvents", "steam_dewax", "outdoors", "unknown_metal", "asbestos", "old_fibre"), True)
    hazards |= dict.fromkeys(("melt_extraction", "co_alarm", "kiln_vent_outside"), False) | {"gauge_unit": None}
    SafetyRecord.objects.filter(school=day.course.school).update(**hazards, people_near_kiln=True)
    day.course.school.paper = paper
    first, second = pages_of(render(html_of(job_of(day))))
    assert "Imre Valdane, bench office" in first and "Imre Valdane" not in second


def test_what_is_over_in_the_box_is_counted():
    figures = figures_of(SchoolUnits(), [], []) | {"vacuum": ""}
    # 8 lines always stand; 12 firings more make 20; 17 of them stand, and the last line counts the other 3.
    firings = [raised("N-14-fast", f"Do not use firing {nth}.") for nth in range(12)]
    said = [line.text for line in stops_of(firings, figures)]
    assert len(said) == 18 and said[-1].startswith("Ask for 3 more STOPs")


def test_the_spanish_sheet_leaves_no_line_in_english(day):
    with override("es"):
        spanish = [str(text) for text in (*lines_of(), *words.SHELF_NAMES, *MEANING.values())]
    with override("en"):
        english = [str(text) for text in (*lines_of(), *words.SHELF_NAMES, *MEANING.values())]
    assert not set(spanish) & set(english)
    page = handout_es_html(job_of(day))
    assert '<html lang="es">' in page and "Plata de ley 925" in page
    assert not re.search(
        r"\b(the|with|and|you|not)\b", re.sub(r"<[^>]*>", " ", page.partition("<h1>")[2]).partition("Agua corriente")[0]
    )


def test_the_language_of_the_site_does_not_change_the_sheet(day):
    plain = handout_html(job_of(day))
    with override("es"):
        assert handout_html(job_of(day)) == plain


def test_accidents_have_their_first_aid_and_each_says_what_it_rests_on(day):
    text = " ".join(" ".join(pages_of(render(handout_html(job_of(day))))).split())
    for line in (
        "Metal stuck to skin: cool it, leave it on, call", "step back, let it freeze; then dry sand",
        "Not for the quench", "FFP3 or P100", "No paper mask", "shade 3 to 5", "or 25 ppm?", "Everyone out.",
        "Trouser legs over the shoes",
    ):  # fmt: skip
        assert line in text, line
    assert all(len(trouble.basis.split()) >= 3 for trouble in words.WRONG) and words.WEAR_BASIS


def test_the_steps_stay_in_order_on_the_second_side(day):
    for of in (day, unrecorded(day)):
        first, second = pages_of(render(handout_html(job_of(of))))
        places = [second.index(title) for title in ("1 Before", "2 Wax", "3 Kiln", "4 Melt", "5 Pour", "6 Quench")]
        assert places == sorted(places) and "1 Before" not in first


def test_a_child_is_told_that_an_adult_mixes_and_not_to_mix(day):
    record = SafetyRecord.objects.filter(school=day.course.school)
    for young in ({"youngest_age": 11, "mixes_from_age": 18}, {"youngest_age": 11, "mixes_from_age": 16}):
        record.update(**young)
        page = handout_html(job_of(day))
        assert "Let an adult mix the powder" in page and "Add powder to water slowly" not in page
    record.update(youngest_age=18, mixes_from_age=18)
    page = handout_html(job_of(day))
    assert "Let an adult mix the powder" not in page and "Add powder to water slowly" in page


def test_cleared_stops_are_a_list_and_the_rest_is_counted(day, monkeypatch):
    stops = [rule.id for rule in rulebook().rules.values() if rule.level is Level.STOP and rule.clearable]
    cleared = [raised(id, cleared_by="Imre Valdane", reason="Seen to") for id in stops]
    monkeypatch.setattr("casting.papers.sheets.handout.cautions_of_day", lambda *_day: cleared)
    page = handout_html(job_of(day))
    assert page.count("Cleared by Imre Valdane") == 7 and f"{len(stops) - 7} more are cleared" in page


@pytest.mark.parametrize(
    ("parts", "told"),
    [
        ({"Cu": 60, "Zn": 40}, "x (zinc in it)"),
        ({"Au": 58.5, "Ni": 10}, "x (nickel in it)"),
        ({"Cu": None}, "x (parts not recorded, ask)"),
        ({}, "x (parts not recorded, ask)"),
        ({"Ag": 92.5, "Cu": 7.5, "Zn": 0}, "x"),
    ],
)
def test_a_metal_says_what_is_in_it(parts, told):
    assert metal_words(Metal("x", parts)) == told


@pytest.mark.parametrize(
    ("language", "called", "said"),
    [
        ("en", "", "carving wax"),
        ("en", "Carving wax", "carving wax"),
        ("es", "Carving wax", "cera de tallar"),
        ("en", "Blue file wax", "Blue file wax"),
    ],
)
def test_a_material_is_called_as_the_school_calls_it(language, called, said):
    with override(language):
        assert material_words(Pattern("carving-wax", Kind.WAX, 0.96, name=called)) == said


@pytest.mark.parametrize("kind", Powder)
def test_every_kind_of_powder_warns_of_its_dust_in_both_languages(kind):
    with override("en"):
        english = powder_words(kind)
    with override("es"):
        assert "silica" in english and "sílice" in powder_words(kind)


def test_a_line_without_a_rule_is_always_wanted():
    always, only = words.Line("x"), words.Line("y", when=words.on("R-26"))
    assert wanted(always, set()) and not wanted(only, {"R-08"}) and wanted(only, {"R-26"})


def test_every_sign_of_the_sheet_is_drawn_and_has_a_word():
    lines = [*words.STOPS, *(line for _title, lines in words.STEPS for line in lines)]
    used = {line.sign for line in lines if line.sign} | {sign for sign, _text in words.WEAR}
    used |= {trouble.sign for trouble in words.WRONG}
    assert used <= set(FIGURES) and set(FIGURES) == set(MEANING)
