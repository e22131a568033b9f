"""The papers of kiln room and metal safe, supplement and slips: where each prints which figure of the plan file."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

from tests.casting.papers.cross_bench import ANY, hot_cores, table_rows, turns
from tests.casting.papers.cross_wanted import CENTI, TENTH, Want, hour
from tests.casting.papers.printed_figures import HEADING_PT, Page, middle, rows_at

FRESH = Decimal("0.5")
"""Of a charge at least: the weigh-out list says so in its own head."""
instant = datetime.fromisoformat
ROOM_C = 20
"""A kiln is this warm when it goes on, says the plan file."""
FAR_PT = 30
"""A clock that is read from two metres."""


@dataclass(frozen=True)
class Event:
    """What is done at a kiln: its verb and clock, the temperatures, and a second time that the row names."""

    label: str
    verb: list[str]
    clock: Want
    heats: list[Want] = field(default_factory=list)
    again: Want | None = None


def check_supplement(paper, pages, wanted, checked):
    """Its one table, in each copy and each language; in the school's own unit alone."""
    heads = ("flask", "metal", "weigh out") if paper == "supplement" else ("cilindro", "metal", "metal a pesar")
    other = "g" if wanted.pennyweight else "dwt"
    wants = {flask["label"]: [want for want in wanted.pour(flask) if want.unit != other] for flask in wanted.flasks}
    table_rows(paper, pages, heads, wants, checked)


def check_kiln_room(paper, pages, wanted, checked):
    """Each kiln's rows to be read from afar; behind the first its shelf, its firing, its flasks by temperature."""
    for night in wanted.plan["firings"]:
        name = wanted.kiln_name(night["kiln"])
        inside = [flask for flask in wanted.flasks if flask["kiln"] == night["kiln"]]
        own = [page for page in pages if page.named(*name.split(), "night") or page.named(*name.split(), "pours")]
        near = [page for page in pages if page.named(*name.split(), "shelf")]
        hot_cores(paper, own, [one for one in inside if not wanted.poured(one["label"])], wanted, checked)
        _far_rows(paper, own, name, night, wanted, checked)
        for page in near[:1]:
            rates = [one.nth for one in page.figures if one.unit == f"{wanted.degree}/h"]
            turns(paper, page, name, night, _right_of(page, "Firing", rows_at(page, rates)), wanted, checked)
            _shelf(paper, page, name, night, wanted, checked)
        if not near:
            turns(paper, None, name, night, [], wanted, checked)


def _right_of(page, word, rows):
    """The rows without what stands left of a word's column."""
    edge = page.words[page.find(word)[0]].x0 - 3
    for row in rows:
        row.figures = [one for one in row.figures if one.word.x0 >= edge]
    return rows


def _far_rows(paper, pages, name, night, wanted, checked):
    """The rows in their order: load, kiln on, each hold, each pour; a clock change has a row of its own among them."""
    every = []
    for page in pages:
        clocks = [one.nth for one in page.figures if one.unit == "time" and one.word.size >= FAR_PT]
        clocks = [nth for nth in clocks if page.words[nth - 1].text != "→"]
        every += rows_at(page, clocks)
    found = [row for row in every if not any(row.page.words[nth].text == "→" for nth in row.words)]
    events = _events(night, wanted)
    for event, row in zip(events, found + [None] * len(events), strict=False):
        before = every[: every.index(row)] if row else []
        _far_row(paper, f"{name}, {event.label}", event, row, before, checked)
    for row in found[len(events) :]:
        checked.word(paper, row.page, name, "row too many", None, row.label)


def _said(verb, words):
    places = [nth for nth in range(len(words)) if words[nth : nth + len(verb)] == verb]
    return verb if places else words


def _far_row(paper, label, event, row, before, checked):
    """A row's verb, clock and temperatures, and a second time: a hold's end or a quench."""
    page, figures = (row.page, row.figures) if row else (None, [])
    words = [page.bare[nth] for nth in row.words] if row else []
    checked.word(paper, page, label, "verb", " ".join(event.verb), " ".join(_said(event.verb, words)))
    found = next((one for one in figures if one.unit == "time" and one.word.size >= FAR_PT), None)
    days = [day for other in before if other.page is page and (day := _day_of(other)) is not None]
    _clock(paper, label, event, row, found, days, checked)
    units = {want.unit for want in event.heats}
    checked.row(paper, page, label, event.heats, [one for one in figures if one.unit in units])
    if event.again:
        want, times = event.again, [one for one in figures if one.unit == "time" and one is not found]
        right = [one for one in times if one.value == want.value and one.day in (None, want.day)]
        agrees = bool(right) and right == times and (not want.which or want.which in [one.which for one in times])
        checked.same(paper, page, label, want, ", ".join(map(str, times)), agrees)


def _clock(paper, label, event, row, found, days, checked):
    """A row's clock is of the last weekday above it; which of two equal times stands to its left without brackets."""
    page, beside = (row.page, row.words) if row else (None, [])
    day = found.day if found and found.day is not None else (days[-1] if days else None)
    left = [page.bare[nth] for nth in beside if found and page.words[nth].x0 < found.word.x0]
    which = next((word for word in left if word in ("first", "second")), "")
    told = found is not None and (found.value, day) == (event.clock.value, event.clock.day)
    said = f"{found} {which}".strip() if found else None
    checked.same(paper, page, label, event.clock, said, told and which == event.clock.which)


def _day_of(row):
    return next((one.day for one in row.figures if one.word.size >= FAR_PT), None)


def _events(night, wanted):
    """What is done at a kiln, in order: loading, kiln on, each hold until the first pour, each pour."""
    flasks = [flask for flask in wanted.flasks if flask["kiln"] == night["kiln"]]
    segments, loads = night["segments"], [step["at"] for step in wanted.steps("load", kiln=night["kiln"])]
    events = []
    if loads or any(wanted.invested(flask["label"]) for flask in flasks):
        loaded = any(wanted.poured(flask["label"]) for flask in flasks)
        at = wanted.time("load", min([*loads, night["on_at"]], key=instant))
        events.append(Event("load", ["LOADED"] if loaded else ["LOAD", str(len(flasks))], at))
    on_at = wanted.time("kiln on", night["on_at"])
    events.append(Event("on", ["KILN", "ON"], on_at, [wanted.degrees("then to", segments[0]["to_c"])]))
    soak = next(nth for nth, one in enumerate(segments) if instant(one["ends_at"]) >= instant(flasks[0]["out_at"]))
    events += [_hold(nth, segments, nth == soak, wanted) for nth in range(soak + 1)]
    return events + _pours(flasks, segments[soak + 1 :], wanted)


def _hold(nth, segments, last, wanted):
    """A temperature that is held until it is time to go on; the last is held for the pours."""
    segment, before_c = segments[nth], segments[nth - 1]["to_c"] if nth else ROOM_C
    reached, heats = wanted.time("reached", segment["reached_at"]), [wanted.degrees("kiln at", segment["to_c"])]
    label, verb = f"turn {nth + 1}", ["SOAK"] if segment["to_c"] < before_c else ["HOLD"]
    if last:
        return Event(label, verb, reached, heats)
    heats.append(wanted.degrees("then to", segments[nth + 1]["to_c"]))
    if segment["hold_min"] == 0:
        return Event(label, ["GO", "ON"], reached, heats)
    return Event(label, verb, reached, heats, wanted.time("until", segment["ends_at"]))


def _pours(flasks, later, wanted):
    """Each pour, with where the kiln goes after it, and when the flask may be quenched."""
    events, ends = [], [instant(flask["out_at"]) for flask in flasks[1:]]
    for flask, end in zip(flasks, [*ends, None], strict=True):
        label, out_at = flask["label"], instant(flask["out_at"])
        heats = [wanted.degrees("flask temperature", flask["flask_c"])]
        for turn in later:
            begins = instant(turn["starts_at"])
            if out_at <= begins and (not end or begins < end):
                heats.append(wanted.degrees("then to", turn["to_c"]))
        poured = wanted.poured(label)
        quench = None if poured or flask["kind"] == "stones" else wanted.time("quench", flask["quench_at"])
        verb = [label, "POURED"] if poured else ["POUR", label]
        events.append(Event(label, verb, wanted.time("pour", flask["out_at"]), heats, quench))
    return events


def _shelf(paper, page, name, night, wanted, checked):
    """Each flask beside its temperature, and on the map where the plan puts it: one scale for all, front below."""
    flasks = [flask for flask in wanted.flasks if flask["kiln"] == night["kiln"]]
    heads = page.find("flask", "temperature")
    low = [one for one in page.figures if one.unit == wanted.degree and heads and one.nth > heads[0]]
    heats = list(dict.fromkeys(flask["flask_c"] for flask in flasks))
    for celsius, one in zip(heats, low + [None] * len(heats), strict=False):
        want = wanted.degrees("temperature on the shelf", celsius)
        checked.same(paper, page, name, want, str(one) if one else None, bool(one) and one.value == want.value)
    beside = _labels_beside(page, low[: len(heats)])
    for flask in flasks:
        celsius = wanted.degrees("", flask["flask_c"]).value
        checked.word(paper, page, flask["label"], "flask by temperature", str(celsius), beside.get(flask["label"]))
    _on_the_map(paper, page, flasks, checked)


def _labels_beside(page, heats):
    """Each label after a temperature and before the next, in the order of writing."""
    ends = [one.nth for one in heats[1:]]
    beside = {}
    for one, end in zip(heats, [*ends, min(page.find("Firing"), default=ANY)], strict=False):
        for nth in range(one.nth + 2, min(end, len(page.bare))):
            beside.setdefault(page.bare[nth], str(one.value))
    return beside


def _on_the_map(paper, page, flasks, checked):
    """The labels' middles against the axes of the plan: what is left of them after one scale and one shift."""
    top = page.words[page.find("Shelf")[0]]
    places = {}
    for flask in flasks:
        on = [page.words[nth] for nth in page.find(flask["label"]) if _in_map(page, page.words[nth], top)]
        if on:
            places[flask["label"]] = ((on[-1].x0 + on[-1].x1) / 2, -middle(on[-1]))
    scale, shift = _fitted([(flask, places[flask["label"]]) for flask in flasks if flask["label"] in places])
    for flask in flasks:
        want = Want("place in the kiln", "mm", f"{flask['kiln_x_mm']:.0f}, {flask['kiln_y_mm']:.0f}")
        place = places.get(flask["label"])
        found = [(at - moved) / scale for at, moved in zip(place, shift, strict=True)] if place else None
        agrees = bool(found) and max(abs(found[0] - flask["kiln_x_mm"]), abs(found[1] - flask["kiln_y_mm"])) <= 3
        checked.same(paper, page, flask["label"], want, f"{found[0]:.0f}, {found[1]:.0f}" if found else None, agrees)


def _in_map(page, word, top):
    heads = page.find("flask", "temperature")
    low = page.words[heads[0]].top if heads else ANY
    firing = page.words[page.find("Firing")[0]].x0
    return top.bottom < word.top and word.bottom < low and word.x0 < firing


def _fitted(pairs):
    """The scale and the shift that bring the plan's places nearest to the printed ones."""
    if not pairs:
        return 1.0, (0.0, 0.0)
    plan = [(flask["kiln_x_mm"], flask["kiln_y_mm"]) for flask, _place in pairs]
    seen = [place for _flask, place in pairs]
    mean = [tuple(sum(values) / len(values) for values in zip(*points, strict=True)) for points in (plan, seen)]
    planned = [at - mean[0][axis] for point in plan for axis, at in enumerate(point)]
    printed = [at - mean[1][axis] for point in seen for axis, at in enumerate(point)]
    under = sum(at * at for at in planned)
    scale = sum(a * b for a, b in zip(planned, printed, strict=True)) / under if under else 1.0
    return scale, tuple(n - scale * m for m, n in zip(*mean, strict=True))


def check_weigh_out(paper, pages, wanted, checked):
    """Each bag with its fresh metal and its pour, each sum, and how each charge comes about."""
    wants = {}
    for flask in wanted.flasks:
        fresh = _fresh(flask, wanted)
        wants[flask["label"]] = [*wanted.charge(flask), *fresh, wanted.time("pour", flask["out_at"])]
    bags = [_without_workings(page, wanted) for page in pages]
    found = table_rows(paper, bags, ("flask", "weigh out", "fresh at least"), wants, checked)
    _sums_of_bags(paper, found, wanted, checked)
    for alloy in wanted.plan["totals"]["charge_g"]:
        _metal_heading(paper, pages, alloy, wanted, checked)
    written = [(page, one) for page in pages for one in range(len(page.words))]
    # What is poured needs no sums any more.
    for flask in (one for one in wanted.flasks if not wanted.poured(one["label"])):
        _working(paper, written, flask, wanted, checked)


def _without_workings(page, wanted):
    """A page without the sums that stand under each bag, from its first wax to "= 38.5 g." after "Weigh out:"."""
    begin = {f"{wax['key']}:" for flask in wanted.flasks for wax in flask["waxes"]}
    words, inside = [], ""
    for word in page.words:
        inside = word.text if word.text in begin or (inside and word.text == "Weigh") else inside
        if not inside:
            words.append(word)
        elif inside == "Weigh" and word.text == "g.":
            inside = ""
    return Page(page.number, words)


def _fresh(flask, wanted):
    least = (Decimal(str(flask["charge_g"])) * FRESH).quantize(TENTH, ROUND_CEILING)
    return wanted.to_weigh("fresh", least)


def _sums_of_bags(paper, found, wanted, checked):
    """The row under the last bag of a table: all that is still to be weighed out of one metal from one place."""
    last = {}
    for flask in wanted.flasks:
        for row in found[flask["label"]]:
            last[flask["alloy"], flask["owner"]] = row
    for whose, row in last.items():
        left = [one for one in wanted.flasks if (one["alloy"], one["owner"]) == whose]
        left = [one for one in left if not wanted.poured(one["label"])]
        wants = wanted.to_weigh("sum of bags", sum((Decimal(str(one["charge_g"])) for one in left), Decimal(0)))
        wants += wanted.to_weigh("sum of fresh", sum((_fresh(one, wanted)[0].value for one in left), Decimal(0)))
        page, start = row.page, max(row.words)
        sums = [nth for nth, text in enumerate(page.bare) if text in ("bag", "bags") and nth > start]
        figures = rows_at(page, sums[:1])[0].of("g", "dwt") if sums else []
        checked.row(paper, page, f"{whose[0]} of {whose[1]}", wants, figures)


def _metal_heading(paper, pages, alloy, wanted, checked):
    """What is to be weighed out of the metal: from the safe first, then what students bring."""
    to_weigh = {True: Decimal(0), False: Decimal(0)}
    for flask in (one for one in wanted.flasks if one["alloy"] == alloy and not wanted.poured(one["label"])):
        to_weigh[flask["owner"] != "school"] += Decimal(str(flask["charge_g"]))
    wants = []
    if any(flask["alloy"] == alloy and flask["owner"] == "school" for flask in wanted.flasks):
        wants = wanted.to_weigh("metal from the safe", to_weigh[False])
        wants += [wanted.grams("metal, students' own", to_weigh[True])] if to_weigh[True] else []
    words = wanted.metal(alloy).split()
    for page in pages:
        for place in page.find(*words):
            if page.words[place].size >= HEADING_PT:
                ends = [nth for nth in page.find("metal") if nth > place and page.bare[nth - 1] in ("school's", "Own")]
                checked.row(paper, page, alloy, wants, page.between(place, min(ends, default=ANY), {"g", "dwt"}))
                return
    checked.row(paper, None, alloy, wants, [])


def _working(paper, written, flask, wanted, checked):
    """Each wax's metal, the button, and the charge at the end, to which their sum goes up by less than a step.

    The parts of a sum add up to it as printed, so one of them may be a hundredth off.
    """
    texts = [page.words[nth].text for page, nth in written]
    label, places = flask["label"], []
    for wax in flask["waxes"]:
        places = [nth for nth, text in enumerate(texts) if text == f"{wax['key']}:"]
        (figure,) = _grams_after(written, texts, "=", places[0], 1) if places else (None,)
        _about(paper, written, places, f"{label} {wax['key']}", "metal of the wax", wax["metal_g"], figure, checked)
    start = places[0] if places else len(texts)
    (figure,) = _grams_after(written, texts, "Button:", start, 1)
    _about(paper, written, places, label, "button", flask["button_g"], figure, checked)
    *parts, bare, step, charge = _grams_after(written, texts, "Weigh", start, 6 if "trunk_g" in flask else 5)
    page = written[start][0] if places else None
    want = wanted.grams("charge at the end of its sum", flask["charge_g"])
    adds_up = None not in (*parts, bare, step, charge) and sum(one.value for one in parts) == bare.value
    adds_up = adds_up and 0 <= charge.value - bare.value < step.value
    checked.same(paper, page, label, want, str(charge), adds_up and charge.value == want.value)


def _grams_after(written, texts, word, start, number):
    """So many figures in grams after a word; None for each that is not there."""
    begins = next((nth for nth in range(start, len(texts)) if texts[nth] == word), len(texts))
    wide = {(id(page), one.nth): one for page in {id(p): p for p, _nth in written}.values() for one in page.figures}
    found = [wide[id(page), nth] for page, nth in written[begins : begins + 60] if (id(page), nth) in wide]
    grams = [one for one in found if one.unit == "g"][:number]
    return grams + [None] * (number - len(grams))


def _about(paper, written, places, flask, figure, weight_g, found, checked):
    want = Want(figure, "g", Decimal(str(weight_g)).quantize(CENTI, ROUND_HALF_UP))
    agrees = found is not None and abs(found.value - want.value) <= CENTI
    checked.same(paper, written[places[0]][0] if places else None, flask, want, str(found) if found else None, agrees)


def check_slips(paper, pages, wanted, checked):
    """Each student's waxes: metal, flask, place and pour."""
    wants, of = {}, {}
    for flask in wanted.flasks:
        for wax in flask["waxes"]:
            metal = wanted.computed("metal of the wax", wax["metal_g"])
            wants[wax["key"]] = [*metal, wanted.time("pour", flask["out_at"])]
            of[wax["key"]] = flask, wax
    for tag, rows in table_rows(paper, pages, ("tag", "your wax", "metal"), wants, checked).items():
        flask, wax = of[tag]
        for row in rows:
            words = [row.page.bare[nth] for nth in row.words]
            _row_says(paper, row, tag, "metal", wanted.metal(flask["alloy"]), words, checked)
            place = f"{flask['label']} {hour(wax)}"
            _row_says(paper, row, tag, "flask and place", place, words, checked)
    for tag in (line["key"] for line in wanted.plan["left_out"]):
        on = next((page for page in pages if page.find("Left", "out", tag)), None)
        checked.word(paper, on, tag, "left out", tag, tag if on else None)


def _row_says(paper, row, tag, figure, wanted_words, words, checked):
    text = " ".join(words)
    checked.word(
        paper, row.page, tag, figure, wanted_words, wanted_words if f" {wanted_words} " in f" {text} " else text
    )
