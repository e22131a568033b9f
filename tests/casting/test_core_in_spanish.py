"""Every sentence of the core has its Spanish, and keeps its figures on the way through a plan file."""

import json
import random
import re
from string import Formatter

import pytest
from django.utils.translation import override

from casting.calc.plan_day import DaySearch
from casting.calc.values.errors import Refused
from casting.calc.values.marked_text import FLASK_SIZE, FROM_MEMORY, MARKED, in_a_sentence
from casting.calc.values.sentence import CAPITAL, WORDS, from_json
from casting.dayfile import read, write
from casting.dayfile.shelf_file import shelf
from casting.papers.sheets.handout_words import SHELF_NAMES
from casting.presenters.wording import LOCALE, catalogue, reworded
from casting.solve import improving
from tests.casting.core_words import has_letters, of_code, of_rules, of_several, of_sources
from tests.casting.test_catalogue import in_catalogue
from tests.days.odd_day import odd_day

PO = LOCALE / "es" / "LC_MESSAGES" / "core.po"
SPANISH = catalogue("es")
SENTENCES = {"say": "steps", "text": "cautions", "detail": "left_out", "cure": "left_out"}
SAME = re.compile(r"[A-Z]?[a-z]?|[\d +=-]+|\d\d:\d\d|[A-Z0-9]{1,3}|inHg|mbar|kPa|bar|mmHg")
"""Figures that are no words: a chemical sign, a clock time, a label, a gauge's unit."""
DAYS = 60


def places(words):
    """The figures of some words and how each is written; what begins a sentence may differ."""
    found = [(name, (spec or "").replace(CAPITAL, "")) for _text, name, spec, _as in Formatter().parse(words) if name]
    return sorted(found)


def every_words():
    return [*of_code(), *of_rules(), *of_several(), *of_sources()]


@pytest.mark.parametrize("words", every_words())
def test_words_of_the_core_have_their_spanish_with_the_same_figures(words):
    spanish = SPANISH.gettext(words)
    assert spanish != words or words in SAME_IN_SPANISH
    assert places(spanish) == places(words)
    assert sorted(MARKS.findall(spanish)) == sorted(MARKS.findall(words)), "a temperature lost its mark"


SAME_IN_SPANISH = {"1 base", "{bases} bases", "{hours} h", "{minutes} min", "material", "metal"}
MARKS = re.compile(r"(?:\{\w+\}|\d)[\u202f\u00a0\u2007](?:°C/h|°C|degrees C)")


def test_nothing_is_translated_that_the_core_does_not_say():
    known = {*every_words(), *names_of_shelf()}
    assert [text for text in in_catalogue(PO) if text not in known] == []


def names_of_shelf():
    """What the context `name` may hold: what a school starts with, at the head of a row and in a sentence."""
    with override("en"):
        names = {str(name) for name in SHELF_NAMES} | {kiln["name"] for kiln in shelf().rows("kilns")}
    names |= {name.replace(" ", "-") for name in names}
    return names | {in_a_sentence(name) for name in names} | {name[:1].upper() + name[1:] for name in names}


def sentences_in(plan):
    """Every sentence of a plan file, with what is said of it."""
    rows = [(row, key) for key, part in SENTENCES.items() for row in plan[part]]
    for row, key in [*rows, (plan["proof"], "why")]:
        if row[key]:
            yield row[key], row.get("said", {}).get(key)


def leaves(said):
    """The words and the texts of a sentence and of all that it holds."""
    if isinstance(said, dict):
        yield WORDS, said[WORDS]
        for name, figure in said.items():
            if name != WORDS:
                yield from leaves(figure)
    elif isinstance(said, list):
        for one in said:
            yield from leaves(one)
    elif isinstance(said, str):
        yield "text", said


def texts_of(value):
    """Every text in the values of a day file."""
    if isinstance(value, dict):
        return set(value).union(*map(texts_of, value.values()))
    if isinstance(value, list):
        return set().union(*map(texts_of, value))
    return {value} if isinstance(value, str) else set()


def untold(text, said, given):
    """What of a sentence would stay English: words without Spanish, a text that nobody has typed."""
    if said is None:
        return [] if SPANISH.gettext(text.replace("{", "{{").replace("}", "}}")) != text else [text]
    found = []
    for kind, words in leaves(said):
        if kind == WORDS:
            known = words in SAME_IN_SPANISH or not has_letters(words) or SPANISH.gettext(words) != words
        else:
            bare = FLASK_SIZE.sub("", MARKED.sub("", words)).replace(FROM_MEMORY, "").strip()
            known = bare in given or SAME.fullmatch(bare)
        if not known:
            found.append(words)
    return found


def planned(day):
    """A plan file of an odd day; None if the day is refused."""
    try:
        asked = read(json.dumps(day))
        *_worse, plan = improving(asked, DaySearch(asked.day), [3])
    except Refused:
        return None
    return json.loads(write(plan, asked))


def test_every_sentence_of_a_plan_is_recovered_with_its_figures_and_said_in_spanish():
    days = 0
    while days < DAYS:
        seed = random.SystemRandom().randrange(10**9)
        day = odd_day(seed)
        plan = planned(day)
        if plan is None:
            continue
        days += 1
        names = texts_of(day)
        given = names | {in_a_sentence(name) for name in names}
        for text, said in sentences_in(plan):
            sentence = from_json(text, said)
            assert sentence == text and (said is None or sentence.figures), f"seed {seed}"
            assert untold(text, said, given) == [], f"seed {seed}: {text}"
            with override("es"):
                spanish = reworded(sentence)
            assert spanish != text and "{" not in spanish.replace("{x}", ""), f"seed {seed}: {spanish}"


def test_a_plan_file_of_before_is_read_in_english():
    with override("es"):
        assert reworded(from_json("Leave flask A alone to set. Keep it damp.")) == (
            "Leave flask A alone to set. Keep it damp."
        )


def test_figures_that_do_not_give_the_text_are_not_believed():
    said = {"words": "Leave flask {flask} alone to set. Keep it damp.", "flask": "B"}
    assert from_json("Leave flask A alone to set. Keep it damp.", said).figures == {}
    assert from_json("Wait.", {"words": "{x:999999999}", "x": 1}).figures == {}
    assert from_json("Wait.", {"words": "{missing}"}).figures == {}
