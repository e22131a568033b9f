"""Breaches of the flask rules with their figures, where a wax joins others by hand, and a sentence for each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from casting.calc.cautions.materials import stopped
from casting.calc.cautions.stones import stones_forbid
from casting.calc.geometry.from_day import room_above_mm
from casting.calc.geometry.infeasibility import from_axis_mm
from casting.calc.geometry.measure import layout_breaches, tree_breaches
from casting.calc.geometry.shapes import TreeWax
from casting.calc.grouping.flask_rules import FlaskRules, Item
from casting.calc.layout.tree import length_of
from casting.calc.quantities.charge import charge_limit
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.errors import marked
from casting.calc.values.marked_text import named
from casting.calc.values.placed import Breach, Rule
from casting.calc.values.sentence import Figure, Sentence, plain, say, words
from casting.calc.values.tolerances import SLACK


def joining(rules: FlaskRules, key: str, others: Sequence[str], size: str) -> tuple[Breach, ...]:
    """Return the rules that a wax breaks if it joins others in a flask, layouts aside.

    Parameters
    ----------
    rules : FlaskRules
        The day's rules.
    key : str
        The wax.
    others : sequence of str
        The waxes that share the flask already.
    size : str
        The flask's size.

    Returns
    -------
    tuple of Breach
        All of them, with their figures [mm, g]; none if these rules let it in.
    """
    if stopped(rules.items[key].wax, rules.day) or stones_forbid(rules.items[key].wax, rules.day):
        return (Breach(Rule.STOPPED, key),)
    found = [*_unlike(rules, key, others), *_too_large(rules, key, size)]
    count, most = len(others) + 1, rules.sizes[size].waxes_max
    if count > most:
        found.append(Breach(Rule.PLACES, key, count, most))
    if all(rules.items[other].wax.alloy == rules.items[key].wax.alloy for other in others):
        found += _charge(rules, key, others, size, None)
    return tuple(found)


def _unlike(rules: FlaskRules, key: str, others: Sequence[str]) -> Iterator[Breach]:
    """What keeps it from sharing with one of the others: metal, owner, kind, sections."""
    mine = rules.items[key]
    theirs = [rules.items[other] for other in others]
    for nth, rule in enumerate((Rule.METAL, Rule.OWNER, Rule.KIND)):
        other = next((item for item in theirs if item.family[nth] != mine.family[nth]), None)
        if other is not None:
            yield Breach(rule, key, other=other.key, mine=_part(mine, nth), theirs=_part(other, nth))
    apart = max(theirs, key=lambda item: abs(item.step - mine.step), default=None)
    most = rules.day.rules.sections_may_differ_by
    if apart is not None and abs(apart.step - mine.step) > most:
        sections = {"mine": mine.wax.section.value, "theirs": apart.wax.section.value}
        yield Breach(Rule.SECTIONS, key, abs(apart.step - mine.step), most, apart.key, **sections)


def _part(item: Item, nth: int) -> str:
    """A part of its family; its kind even where kinds mix, as it is then told beside stones."""
    return (*item.family[:2], item.kind.value)[nth]


def _too_large(rules: FlaskRules, key: str, size: str) -> Iterator[Breach]:
    item, base = rules.items[key], rules.bases[size]
    if size not in rules.high_enough[key]:
        yield Breach(Rule.HEIGHT, key, item.wax.height_mm, room_above_mm(rules.sizes[size]))
    elif size not in rules.wide_enough[key]:
        far_mm, usable_mm = from_axis_mm(item.footprint, base), base.usable_mm(item.footprint)
        across = 1 if base.trunk else 2
        yield Breach(Rule.WIDTH, key, across * far_mm, across * usable_mm)


def _charge(rules: FlaskRules, key: str, others: Sequence[str], size: str, trunk_mm: float | None) -> Iterator[Breach]:
    keys, day = [key, *others], rules.day
    if rules.melts(keys, size, trunk_mm):
        return
    limit_g = charge_limit(day.alloys[rules.items[key].wax.alloy], day.rules)
    rule = Rule.TORCH if limit_g >= day.rules.melt_max_g else Rule.CRUCIBLE
    yield Breach(rule, key, rules.charge_g(keys, size, trunk_mm), limit_g)


def together(rules: FlaskRules, keys: Sequence[str], size: str) -> tuple[Breach, ...]:
    """Return what keeps waxes from sharing a flask: of the first that the others do not let in.

    Parameters
    ----------
    rules : FlaskRules
        The day's rules.
    keys : sequence of str
        The waxes.
    size : str
        The flask's size.

    Returns
    -------
    tuple of Breach
        As `joining`.
    """
    joined = (joining(rules, key, keys[:nth], size) for nth, key in enumerate(keys))
    return next((found for found in joined if found), ())


def standing(rules: FlaskRules, places: Mapping[str, Place], size: str) -> tuple[Breach, ...]:
    """Return the clearances that a layout lacks, and on a tree a charge that is too much with its trunk.

    Parameters
    ----------
    rules : FlaskRules
        The day's rules.
    places : mapping of str to Place
        Every wax of a flask at its place; on a tree all of them TreePlaces.
    size : str
        The flask's size.

    Returns
    -------
    tuple of Breach
        As the verifier finds them [mm, g].
    """
    keys, base = sorted(places), rules.bases[size]
    items = [rules.items[key] for key in keys]
    if base.trunk is None:
        return layout_breaches(keys, [item.footprint for item in items], [places[key] for key in keys], base)
    spots = [place for key in keys if isinstance(place := places[key], TreePlace)]
    waxes = [TreeWax(item.footprint, item.wax.height_mm, item.metal_g) for item in items]
    length_mm = length_of(spots, base)
    return (*tree_breaches(keys, waxes, spots, base), *_charge(rules, keys[0], keys[1:], size, length_mm))


def said(breach: Breach, rules: FlaskRules, size: str) -> Sentence:
    """Return a breach as the sentence of a refusal.

    Parameters
    ----------
    breach : Breach
        What is broken.
    rules : FlaskRules
        The day's rules, for names.
    size : str
        The flask's size.

    Returns
    -------
    Sentence
        What is wrong, with its figures marked, and what to do.
    """
    base = rules.bases[size]
    figures: dict[str, Figure] = {
        "key": breach.key,
        "other": breach.other,
        "mine": plain(breach.mine.replace("_", " ")),
        "theirs": plain(breach.theirs.replace("_", " ")),
        "called": named(rules.sizes[size].called),
        "has": _shown(breach.rule, breach.has, up=breach.rule in AT_MOST),
        "limit": _shown(breach.rule, breach.limit),
    }
    if breach.rule is Rule.METAL:
        alloys = rules.day.alloys
        figures |= {"mine": alloys[breach.mine].called, "theirs": alloys[breach.theirs].called}
    return say(WORDS_ON_TREE.get(breach.rule, WORDS[breach.rule]) if base.trunk else WORDS[breach.rule], **figures)


AT_MOST = frozenset(
    {Rule.HEIGHT, Rule.WIDTH, Rule.REACH, Rule.ALONE, Rule.TRUNK_FAR, Rule.STACK, Rule.CRUCIBLE, Rule.TORCH}
)
"""Rules whose figure must not be more than the limit; shown rounded up, the others down."""

IN_G = frozenset({Rule.CRUCIBLE, Rule.TORCH})
COUNTED = frozenset({Rule.PLACES, Rule.STOCK, Rule.SECTIONS})


def _shown(rule: Rule, value: float | None, *, up: bool = False) -> str:
    """A figure of a breach, never rounded to what would hold."""
    if value is None:
        return ""
    if rule in COUNTED:
        return f"{value:g}"
    eased = round(value + (0.05 - SLACK if up else -0.05 + SLACK), 1) if value % 1 else value
    unit = "g" if rule in IN_G else "mm"
    return marked(unit, eased, f"{eased:g} {unit}")


WORDS: Mapping[Rule, str] = {
    Rule.STOPPED: words(
        "{key} goes into no flask today. Take it out, and look at its metal, its pattern and its stones."
    ),
    Rule.METAL: words("{key} is {mine} and {other} is {theirs}. Give each metal its own flask."),
    Rule.OWNER: words("{key} and {other} are of metal of different owners. Give each its own flask."),
    Rule.KIND: words("{key} is {mine} and {other} is {theirs}; they burn out differently. Give each its own flask."),
    Rule.SECTIONS: words(
        "{key} is {mine} and {other} is {theirs}: {has} steps apart, where {limit} may share a flask. "
        "Take one of the two out."
    ),
    Rule.HEIGHT: words("{key} is {has} tall; a {called} takes {limit}. Put it into a higher flask."),
    Rule.WIDTH: words("{key} is {has} from corner to corner; a {called} takes {limit}. Put it into a wider flask."),
    Rule.PLACES: words("{key} makes {has} waxes; a {called} takes {limit}. Take one out."),
    Rule.CRUCIBLE: words("with {key} the charge is {has}; the crucible takes {limit}. Take a wax out."),
    Rule.TORCH: words("with {key} the charge is {has}; one melt takes {limit}. Take a wax out."),
    Rule.GAP: words("{key} and {other} are {has} apart; {limit} are needed. Move one of them."),
    Rule.WALL: words("{key} is {has} from the wall; {limit} are needed. Move it in."),
    Rule.REACH: words(
        "the foot of {key} is {has} from the axis; its sprue reaches {limit}. Move it in, or say why it may."
    ),
    Rule.PATH: words("{other} is {has} from the way of {key} to the cone; {limit} are needed. Move one of them."),
    Rule.ALONE: words("{key} is alone and its foot is {has} off the axis. Put it on the axis."),
    Rule.TRUNK_NEAR: words("{key} is {has} from the trunk; {limit} are needed. Move it out."),
    Rule.TRUNK_FAR: words("{key} is {has} from the trunk; its sprue is at most {limit} long. Move it in."),
    Rule.TIER: words(
        "the tier of {key} stands too low, too high or too near the next, or is heavier than the one below it. "
        "Let the program lay out this tree."
    ),
    Rule.STACK: words(
        "with {key} the tiers reach {has} over the open end; {limit} leaves enough cover. Take a wax out."
    ),
}
WORDS_ON_TREE: Mapping[Rule, str] = {
    Rule.WIDTH: words("{key} reaches {has} from the axis; a {called} takes {limit}. Put it into a wider flask."),
}
