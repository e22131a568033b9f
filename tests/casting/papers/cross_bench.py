"""The papers of the bench: where day plan, mix sheet and flask cards print which figure of the plan file."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from tests.casting.papers.cross_wanted import hour
from tests.casting.papers.printed_figures import HEADING_PT, LARGE_PT, labelled_rows, middle, rows_at, tables

ANY = 10_000
TIMES_OF_THE_DAY = {"hand-in closes": "hand_in_closes", "mount from": "mount", "mix from": "mix", "load": "load"}


def _checked(paper, found, wants, checked):
    """Compare the rows found for each label; a label without a row is missing throughout."""
    for label, asked in wants.items():
        for row in found[label]:
            checked.row(paper, row.page, label, asked, row.figures)
        if not found[label]:
            checked.row(paper, None, label, asked, [])
    return found


def table_rows(paper, pages, heads, wants, checked, column=0, whole=True):
    """Compare a table's rows, wherever they are printed; a label that stands in no table is missing throughout."""
    found = {label: [] for label in wants}
    for page in pages:
        for row in labelled_rows(page, heads, wants, column, whole):
            found[row.label].append(row)
    return _checked(paper, found, wants, checked)


def check_day_plan(paper, pages, wanted, checked):
    """What to fetch, mix, mount, fire and pour, and the timetable."""
    _fetch(paper, pages, wanted, checked)
    _bowls_of_day(paper, pages, wanted, checked)
    _mounts(paper, pages, wanted, checked)
    for night in wanted.plan["firings"]:
        _kiln_of_day(paper, pages, night, wanted, checked)
    _timetable(paper, pages, wanted, checked)
    hot_cores(paper, pages, wanted.flasks, wanted, checked)
    pours = {flask["label"]: _melt(flask, wanted) + wanted.pour(flask) for flask in wanted.flasks}
    table_rows(paper, pages, ("out of kiln", "flask", "metal"), pours, checked, column=1)


def _melt(flask, wanted):
    """When a flask's melt begins; nothing once it is poured."""
    melts = [] if wanted.poured(flask["label"]) else wanted.steps("melt", flask=flask["label"])
    return [wanted.time("melt", step["at"]) for step in melts]


def hot_cores(paper, pages, flasks, wanted, checked):
    """Compare the sentence about each core that is too hot at its quench, and take it off the rows around it."""
    for flask in flasks:
        on, found = None, []
        for page in pages:
            for place in page.find("to", "quench", flask["label"], "at"):
                times, heats = (page.between(place - 1, place + 13, {unit}) for unit in ("time", wanted.degree))
                on, found = page, [*times[:2], *heats[:1]]
                page.figures = [one for one in page.figures if one not in found]
        if found or wanted.hot_core(flask):
            checked.row(paper, on, flask["label"], wanted.hot_core(flask), found)


def _fetch(paper, pages, wanted, checked):
    """Metals, powder and water that are still to be fetched, and the first pour of the head."""
    page = pages[0]
    first = min((flask["out_at"] for flask in wanted.flasks), key=datetime.fromisoformat)
    after(paper, page, ("first", "pour"), [wanted.time("first pour", first)], checked)
    _times_of_the_day(paper, page, wanted, checked)
    bowls = wanted.plan["bowls"]
    left = [bowl for bowl in bowls if not all(map(wanted.invested, bowl["flasks"]))]
    ends = "not mixed yet" if len(left) < len(bowls) else ""
    for key, what in (("powder_g", "Investment powder"), ("water_g", "Water")):
        mixed = sum((Decimal(str(bowl[key])) for bowl in bowls if bowl not in left), Decimal(0))
        total = Decimal(str(wanted.plan["totals"][key])) - mixed
        words = f"{what} bowls {ends}" if ends else f"{what} all bowls"
        after(paper, page, tuple(words.split()), [wanted.grams(f"{what.lower()} to fetch", total)], checked)
    for alloy in wanted.plan["totals"]["charge_g"]:
        for own in (False, True):
            _metal_to_fetch(paper, page, alloy, own, wanted, checked)


def _times_of_the_day(paper, page, wanted, checked):
    """When each kind of work begins, under the head; a caution above it may say the same words, with no time after."""
    times = {one.nth for one in page.figures if one.unit == "time"}
    for words, do in TIMES_OF_THE_DAY.items():
        steps = [step["at"] for step in wanted.steps(do)]
        if steps:
            first = min(steps, key=datetime.fromisoformat)
            wants, name = [wanted.time(words, first)], tuple(words.split())
            under = [nth for nth in page.find(*name) if times & {nth + len(name), nth + len(name) + 1}]
            after(paper, page, name, wants, checked, under)


def _metal_to_fetch(paper, page, alloy, own, wanted, checked):
    """The school's metal, or what students bring: all that is not poured yet, and apart from it what is."""
    flasks = [one for one in wanted.flasks if one["alloy"] == alloy and (one["owner"] != "school") == own]
    if not flasks:
        return
    charges = {done: Decimal(0) for done in (True, False)}
    for flask in flasks:
        charges[wanted.poured(flask["label"])] += Decimal(str(flask["charge_g"]))
    if not own:
        brought = [one for one in wanted.flasks if one["alloy"] == alloy and one not in flasks]
        others = sum((Decimal(str(one["charge_g"])) for one in brought), Decimal(0))
        charges[False] = Decimal(str(wanted.plan["totals"]["charge_g"][alloy])) - others - charges[True]
    words = (*wanted.metal(alloy).split(), *(("students'", "own") if own else ()))
    wants = wanted.to_weigh("metal to fetch", charges[False])
    wants = (wanted.to_weigh("already poured", charges[True])[-1:] if charges[True] else []) + wants
    after(paper, page, words, wants, checked)


def after(paper, page, words, wants, checked, places=None):
    """Compare the figures that follow some words, as many as are wanted; where the words stand, if that is known."""
    name, places = " ".join(words), page.find(*words) if places is None else places
    found = []
    if places:
        units = {want.unit for want in wants}
        found = [one for one in page.figures if one.nth >= places[0] + len(words) and one.unit in units][: len(wants)]
    checked.row(paper, page, name, wants, found)


def _bowls_of_day(paper, pages, wanted, checked):
    bowls = {bowl["flasks"][0]: bowl for bowl in wanted.plan["bowls"]}
    wants = {label: wanted.mixing(bowl) for label, bowl in bowls.items()}
    heads = ("flasks", "powder", "water", "starts")
    _inside(paper, table_rows(paper, pages, heads, wants, checked, whole=False), bowls, checked)


def _inside(paper, found, bowls, checked):
    """Compare the flasks that stand in each bowl's row."""
    for label, rows in found.items():
        flasks = bowls[label]["flasks"]
        for row in rows:
            words = [row.page.bare[nth] for nth in row.words]
            first = words.index(label)
            inside = words[first : first + len(flasks)]
            checked.word(paper, row.page, label, "flasks of the bowl", ", ".join(flasks), ", ".join(inside))


def _mounts(paper, pages, wanted, checked):
    """Each wax that is still to be mounted under its flask's heading, with what it weighs."""
    labels = {flask["label"] for flask in wanted.flasks}
    headings = [
        (page, nth)
        for page in pages
        for nth, word in enumerate(page.words)
        if word.size >= HEADING_PT and page.bare[nth] in labels and "×" in page.bare[nth : nth + 4]
    ]
    for flask in (one for one in wanted.flasks if not wanted.invested(one["label"])):
        for wax in flask["waxes"]:
            want = wanted.weighed("wax", wanted.waxes[wax["key"]]["wax_g"])
            page, found = _weight_of_wax(wax["key"], pages, want.unit)
            checked.row(paper, page, wax["key"], [want], found)
            label = _heading_over(page, wax["key"], headings) if page else None
            checked.word(paper, page, wax["key"], "flask of the wax", flask["label"], label)


def _weight_of_wax(tag, pages, unit):
    """The page on which a wax stands with its weight behind it, and that weight."""
    for page in pages:
        for nth in page.find(tag):
            level = middle(page.words[nth])
            line = [one for one in page.between(nth, nth + 12, {unit}) if abs(middle(one.word) - level) < 25]
            if line and tag not in page.bare[nth + 1 : line[0].nth]:
                return page, line[:1]
    return None, []


def _heading_over(page, tag, headings):
    """The flask's label over a wax: the lowest heading above it whose column it stands in."""
    places = [nth for nth in page.find(tag) if page.between(nth, nth + 8, {"g", "dwt"})]
    word = page.words[places[0]]
    over = [nth for on, nth in headings if on is page]
    over = [nth for nth in over if page.words[nth].top < word.top and page.words[nth].x0 <= word.x0 + 20]
    if not over:
        return None
    lowest = max(page.words[nth].top for nth in over)
    row = [nth for nth in over if page.words[nth].top > lowest - 6]
    return page.bare[max(row, key=lambda nth: page.words[nth].x0)]


def _kiln_of_day(paper, pages, night, wanted, checked):
    """The heading of a kiln, and each turn of its firing."""
    name = wanted.kiln_name(night["kiln"])
    for page in pages:
        for place in page.named(*name.split(), "on"):
            on_at = [wanted.time("kiln on", night["on_at"])]
            checked.row(paper, page, name, on_at, page.between(place, place + 7, {"time"})[:1])
            rates = [one.nth for one in page.figures if one.nth > place and one.unit == f"{wanted.degree}/h"]
            stays = [nth for nth in page.find("stay", "at") if nth > place]
            rows = rows_at(page, sorted(rates + stays)[: len(night["segments"])])
            turns(paper, page, name, night, rows, wanted, checked)
            return
    checked.row(paper, None, name, [wanted.time("kiln on", night["on_at"])], [])


def turns(paper, page, name, night, rows, wanted, checked):
    for nth, segment in enumerate(night["segments"]):
        # A kiln that goes on holding has no rate on the day plan.
        level = paper == "day-plan" and nth and night["segments"][nth - 1]["to_c"] == segment["to_c"]
        wants = [] if level else [wanted.ramp(segment["ramp_c_per_h"])]
        wants += [
            wanted.degrees("turn to", segment["to_c"]),
            wanted.time("turn from", segment["starts_at"]),
            wanted.time("reached", segment["reached_at"]),
        ]
        if paper == "day-plan":
            wants.append(wanted.time("hold until", segment["ends_at"]))
        figures = rows[nth].figures if nth < len(rows) else []
        checked.row(paper, page, f"{name}, turn {nth + 1}", wants, figures)
        if paper == "kiln-room":
            hold = sum(int(one.value) * (60 if one.unit == "h" else 1) for one in figures if one.unit in ("h", "min"))
            checked.word(paper, page, f"{name}, turn {nth + 1}", "hold", segment["hold_min"], hold)


def _timetable(paper, pages, wanted, checked):
    """Each flask's pour on the one clock axis: the label at the left edge of the paper."""
    for flask in (one for one in wanted.flasks if not wanted.poured(one["label"])):
        label, found, on = flask["label"], [], None
        for page in pages:
            foot = min((word.top for word in page.words if word.text == "reminder"), default=ANY) - 3
            edge = min(word.x0 for word in page.words) + 8
            for nth in page.find(label):
                word = page.words[nth]
                if word.x0 < edge and word.bottom < foot and word.size < LARGE_PT:
                    beside = page.between(nth, nth + 5, {"time"})[:1]
                    if beside and abs(middle(beside[0].word) - middle(word)) < 6:
                        on, found = page, beside
        checked.row(paper, on, label, [wanted.time("pour in the timetable", flask["out_at"])], found)


def check_mix(paper, pages, wanted, checked):
    """Each bowl, and each flask's own powder and water below it."""
    bowls, wants = {bowl["flasks"][0]: bowl for bowl in wanted.plan["bowls"]}, {}
    for label, bowl in bowls.items():
        sets = [step["until"] for one in bowl["flasks"] for step in wanted.steps("set", flask=one)]
        wants[label] = wanted.mixing(bowl) + ([wanted.time("set until", max(sets))] if sets else [])
    _inside(paper, _rows_of_bowls(paper, pages, wants, checked), bowls, checked)
    for flask in (one for one in wanted.flasks if any(one["label"] in bowl["flasks"] for bowl in bowls.values())):
        _own_mix(paper, pages, flask, wanted, checked)


def _rows_of_bowls(paper, pages, wants, checked):
    """A bowl's row is its own table: as high as its first label, which is set large."""
    found = {label: [] for label in wants}
    for page in pages:
        edges = {page.words[line[0]].x0 for line in tables(page, "flasks", "powder", "water")}
        for nth, word in enumerate(page.words):
            under = any(abs(word.x0 - edge) < 6 for edge in edges)
            if page.bare[nth] in wants and word.size >= LARGE_PT and under:
                high = [one for one in page.figures if abs(middle(one.word) - middle(word)) < word.size / 2]
                row = rows_at(page, [nth])[0]
                row.figures = high
                row.words = [other for other, one in enumerate(page.words) if abs(middle(one) - middle(word)) < 4]
                found[row.label].append(row)
    return _checked(paper, found, wants, checked)


def _own_mix(paper, pages, flask, wanted, checked):
    """What comes out of the flask's own sums: its powder and its water."""
    wants = [wanted.grams("powder", flask["powder_g"]), wanted.grams("water", flask["water_g"])]
    for page in pages:
        for place in page.find("Flask", flask["label"]):
            ends = [nth for after in ("Flask", "Bowl") for nth in page.find(after) if nth > place]
            outcomes = [one for one in page.between(place, min(ends, default=ANY), {"g"}) if _outcome(page, one)]
            checked.row(paper, page, flask["label"], wants, outcomes)
            return
    checked.row(paper, None, flask["label"], wants, [])


def _outcome(page, one):
    """A figure after a colon or an equals sign that ends its sentence."""
    return page.words[one.nth + 1].text == "g." and page.words[one.nth - 1].text in ("=", "more:")


def check_flask_cards(paper, pages, wanted, checked):
    """Each card: what goes in, how hot, when, and where each wax stands."""
    labels = {flask["label"]: flask for flask in wanted.flasks}
    cards = {}
    for page in pages:
        heads = [nth for nth, word in enumerate(page.words) if page.bare[nth] in labels and word.size >= 2 * LARGE_PT]
        tops = sorted(page.words[nth].top for nth in heads)
        for nth in heads:
            top = page.words[nth].top
            end = min((other for other in tops if other > top + 5), default=ANY) - 12
            inside = [n for n, word in enumerate(page.words) if top - 12 <= word.top < end]
            cards[page.bare[nth]] = (page, inside)
    for label, flask in labels.items():
        page, inside = cards.get(label, (None, []))
        figures = [one for one in page.figures if one.nth in set(inside)] if page else []
        checked.row(paper, page, label, _card(flask, wanted), figures)
        for wax in flask["waxes"]:
            _place_on_card(paper, page, label, wax, cards, checked)


def _place_on_card(paper, page, label, wax, cards, checked):
    """A wax's hour beside its tag, on the card that is nearest."""
    place, tag = hour(wax), wax["key"]
    words = page.find(tag, *place.split()) if page else []
    found = [page.bare[nth + 1 : nth + 4] for nth in page.find(tag)] if page else []
    checked.word(paper, page, f"{label} {tag}", "place of the wax", place, place if words else str(found))
    if words:
        at = middle(page.words[words[0]])
        on_page = {card: [middle(page.words[nth]) for nth in own] for card, (on, own) in cards.items() if on is page}
        nearest = min(on_page, key=lambda card: abs(at - sum(on_page[card]) / len(on_page[card])))
        checked.word(paper, page, tag, "flask of the wax", label, nearest)


def _card(flask, wanted):
    label = flask["label"]
    mixes, sets, loads = (wanted.steps(do, flask=label) for do in ("mix", "set", "load"))
    on_at = [night["on_at"] for night in wanted.plan["firings"] if night["kiln"] == flask["kiln"]]
    loads = [step["at"] for step in loads] or on_at
    times = [wanted.time("mix", step["at"]) for step in mixes[:1]]
    times += [wanted.time("set until", step["until"]) for step in sets[:1]]
    times += [wanted.time("load", min(loads))] if loads else []
    times += [wanted.time(f"top heat {edge}", at) for edge, at in _top_heat(flask, wanted)]
    *quench, core = wanted.hot_core(flask) or [wanted.time("quench", flask["quench_at"]), None]
    times += [wanted.time("pour", flask["out_at"]), *quench, *([core] if core else [])]
    weights = [wanted.grams("powder", flask["powder_g"]), wanted.grams("water", flask["water_g"])]
    return [*wanted.charge(flask), *weights, *_own_bowl(flask, wanted), *wanted.heats(flask), *times]


def _top_heat(flask, wanted):
    """When the flask's kiln is at the hottest of its firing, from and to."""
    segments = [one for night in wanted.plan["firings"] if night["kiln"] == flask["kiln"] for one in night["segments"]]
    top = max(segments, key=lambda one: one["to_c"], default=None)
    return [("from", top["reached_at"]), ("to", top["ends_at"])] if top else []


def _own_bowl(flask, wanted):
    """What goes into the bowl that a flask has to itself, if that is not what its own sums give."""
    bowl = next((one for one in wanted.plan["bowls"] if one["flasks"] == [flask["label"]]), flask)
    same = (bowl["powder_g"], bowl["water_g"]) == (flask["powder_g"], flask["water_g"])
    if same or wanted.invested(flask["label"]):
        return []
    return [wanted.grams("powder of its bowl", bowl["powder_g"]), wanted.grams("water of its bowl", bowl["water_g"])]
