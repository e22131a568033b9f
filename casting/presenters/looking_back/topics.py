"""The figures of a school that past days tell of, under their headings, each with the default that plans go by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from casting.calc.quantities.account.balance import loss_most_pct
from casting.calc.values.enums import Section
from casting.dayfile.rules_file import rulebook
from casting.models import Alloy, HouseRules, Investment, Kiln, PatternMaterial
from casting.presenters.figure_words import Reader, word_of
from casting.presenters.formats import rounded
from casting.presenters.looking_back import past_figures as past
from casting.presenters.looking_back.learned import (
    BUTTON,
    LOSS,
    MINUTES,
    RATE,
    SHARE,
    TO_WAX,
    Columns,
    Line,
    Take,
    Topic,
)
from casting.presenters.looking_back.past_figures import Figure
from casting.selectors.looking_back.past_days import PastDay, past_days
from casting.selectors.shelf import house_rules
from school.models import School


@dataclass(frozen=True)
class Shelf:
    """What a school plans by now."""

    reader: Reader
    rules: HouseRules
    alloys: Sequence[Alloy]
    kilns: Sequence[Kiln]
    patterns: dict[str, PatternMaterial]
    powder: Investment | None

    @classmethod
    def of(cls, school: School) -> Shelf:
        """Return the shelf of a school; five queries."""
        rules = house_rules(school) or HouseRules(school=school, key="house", name=_("House rules"))
        patterns = {one.key: one for one in PatternMaterial.objects.filter(school=school)}
        alloys, kilns = list(Alloy.objects.filter(school=school)), list(Kiln.objects.filter(school=school))
        return cls(Reader(school), rules, alloys, kilns, patterns, Investment.objects.at(school).first())


def topics_of(school: School) -> list[Topic]:
    """Return what the past days of a school say; as many queries, however many days."""
    shelf, days = Shelf.of(school), past_days(school)
    return [
        _buttons(shelf, days),
        _losses(shelf, days),
        _pours(shelf, days),
        _kilns(shelf, days),
        _gloss(shelf, days),
        _metal(shelf, days),
    ]


def _buttons(shelf: Shelf, days: Sequence[PastDay]) -> Topic:
    shares, least = past.buttons(days)
    rules, usual = shelf.rules, shelf.rules.to_day()
    lines = []
    for section in Section:
        if found := shares.get(section):
            called = _("share of the metal, %(section)s work") % {"section": word_of(section)}
            take = Take(rules, _share_for(rules, section))
            default = usual["button_pct"][section]
            lines.append(Line(f"button-{section}", called, SHARE, found, default, shelf.reader, take))
    for width, grams in usual["button_g_by_diameter"]:
        if found := least.get(f"{width:g}"):
            up_to = shelf.reader.short_length(width)
            called = _("least button in sterling, flasks up to %(width)s") % {"width": up_to}
            take = Take(rules, _least_for(rules, width), up_to)
            lines.append(Line(f"least-{width:g}", called, BUTTON, found, grams, shelf.reader, take))
    return Topic(
        "button",
        _("Button"),
        _(
            "What was weighed out beyond castings and sprues, of flasks whose pieces all filled: the button, with"
            " what was lost of it."
        ),
        _("No button is weighed yet. Weigh button and sprues apart on the page Metal account, and settle the flask."),
        lines,
    )


def _share_for(rules: HouseRules, section: Section) -> Columns:
    shares = rules.to_day()["button_pct"]
    return lambda share: {"button_pct": shares | {str(section): share}}


def _least_for(rules: HouseRules, width: float) -> Columns:
    rows = rules.to_day()["button_g_by_diameter"]
    return lambda grams: {"button_g_by_diameter": [[mm, grams if mm == width else old] for mm, old in rows]}


def _losses(shelf: Shelf, days: Sequence[PastDay]) -> Topic:
    found, lines = past.losses(days), []
    for alloy in shelf.alloys:
        if alloy.key in found:
            most = float(loss_most_pct(alloy.composition_pct or {}, rulebook()))
            why = _("The metal account asks above it. It is no estimate, so it stays.")
            line = Line(
                f"loss-{alloy.key}", alloy.name, LOSS, found[alloy.key], most, shelf.reader, why_not=why, is_limit=True
            )
            lines.append(line)
    return Topic(
        "loss",
        _("Melt loss"),
        _("What did not come back, as a share of the charge, of flasks whose pieces all came out."),
        _("No flask is settled yet. Weigh back and settle on the page Metal account."),
        lines,
    )


def _pours(shelf: Shelf, days: Sequence[PastDay]) -> Topic:
    takes, apart = past.pours(days)
    rules, reader = shelf.rules, shelf.reader
    usual, lines = rules.to_day(), []
    if takes:
        take = Take(rules, _column_of("pour_min"))
        called = _("from the kiln's door to metal poured")
        lines.append(Line("pour", called, MINUTES, takes, usual["pour_min"], reader, take))
    if apart:
        take = Take(rules, _column_of("pitch_min"))
        called = _("from one pour to the next, where the plan had them as close as it may")
        lines.append(Line("pitch", called, MINUTES, apart, usual["pitch_min"], reader, take))
    return Topic(
        "pour",
        _("Minutes a pour"),
        _("As ticked on the page Pours: flask out, then poured."),
        _("No pour is ticked yet. Tick “Flask out” and “Poured” on the page Pours."),
        lines,
    )


def _kilns(shelf: Shelf, days: Sequence[PastDay]) -> Topic:
    climbs, falls = past.kiln_rates(days)
    lines = []
    for kiln in shelf.kilns:
        for column, found, words in (
            ("max_ramp_c_per_h", climbs, _("%(kiln)s, fastest climb")),
            ("cool_c_per_h", falls, _("%(kiln)s, fall")),
        ):
            if kiln.key in found:
                called, default = words % {"kiln": kiln.name}, getattr(kiln, column)
                take = Take(kiln, _column_of(column))
                key = f"{column}-{kiln.key}"
                lines.append(Line(key, called, RATE, found[kiln.key], default, shelf.reader, take))
    return Topic(
        "kiln",
        _("Kilns"),
        _("From readings, where the plan asked a kiln for all that it can. A slower ramp tells only what was set."),
        _("No ramp is read yet. Note when a kiln goes on, and read it twice on its way, on the page Kiln room."),
        lines,
    )


def _column_of(column: str) -> Columns:
    return lambda value: {column: value}


def _gloss(shelf: Shelf, days: Sequence[PastDay]) -> Topic:
    found, lines = past.gloss_off(days), []
    if found and shelf.powder:
        take = Take(shelf.powder, _column_of("working_min"))
        why = _("A mix is never worked longer than its powder's sheet says.")
        default = shelf.powder.working_min
        lines.append(
            Line("gloss", shelf.powder.name, MINUTES, found, default, shelf.reader, take, why_not=why, only_below=True)
        )
    return Topic(
        "gloss",
        _("Gloss gone after"),
        _("From powder into water to the gloss gone, beside the working time that plans go by."),
        _("Nobody noted when the gloss went. Tick it where the bowls are mixed."),
        lines,
    )


def _metal(shelf: Shelf, days: Sequence[PastDay]) -> Topic:
    by_alloy: dict[str, list[tuple[str, Sequence[Figure]]]] = {}
    for (alloy_key, material), found in past.metal_to_wax(days).items():
        by_alloy.setdefault(alloy_key, []).append((material, found))
    lines = []
    for alloy in shelf.alloys:
        materials = sorted(by_alloy.get(alloy.key, ()), key=lambda one: -len(one[1]))
        for nth, (material, found) in enumerate(materials):
            if material in shelf.patterns:
                lines.append(_metal_line(shelf, alloy, shelf.patterns[material], found, offered=nth == 0))
    return Topic(
        "metal",
        _("Metal for a gram of wax"),
        _("Castings and sprues for each gram of wax. A sprue left on the button makes it look less."),
        _("No flask is weighed back yet. Weigh its castings and sprues on the page Metal account."),
        lines,
    )


def _metal_line(
    shelf: Shelf, alloy: Alloy, pattern: PatternMaterial, found: Sequence[Figure], *, offered: bool
) -> Line:
    """A metal with one wax material; a metal has one specific gravity, so its most used material alone is offered."""
    take = Take(alloy, _gravity_for(pattern)) if offered else None
    why = "" if offered else _("The metal's own figure follows the wax material that is cast most.")
    called = f"{alloy.name}, {pattern.name}"
    default = alloy.specific_gravity / pattern.specific_gravity
    return Line(f"metal-{alloy.key}-{pattern.key}", called, TO_WAX, found, default, shelf.reader, take, why_not=why)


def _gravity_for(pattern: PatternMaterial) -> Columns:
    return lambda ratio: {"specific_gravity": float(rounded(ratio * pattern.specific_gravity))}
