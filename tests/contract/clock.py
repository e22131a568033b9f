"""The clock: firings, soaks, pours, quenches, mixes, hours."""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from tests.contract.flasks import SECTIONS, Lookup, row
from tests.contract.melts import melt_breaches
from tests.contract.soak import soak_min


def at(text):
    """An instant, in UTC."""
    return datetime.fromisoformat(text).astimezone(UTC)


def _instant(text, look):
    """A time of the day file, in UTC; local without an offset."""
    moment = datetime.fromisoformat(text)
    return (moment if moment.tzinfo else moment.replace(tzinfo=ZoneInfo(look.day["timezone"]))).astimezone(UTC)


def minutes(later, earlier):
    return (at(later) - at(earlier)) / timedelta(minutes=1)


def clock_breaches(day, plan):
    """Breaches of the rules about time and temperature."""
    look = Lookup(day)
    found = _offsets(day, plan)
    if not plan["flasks"]:
        return found
    found += _temperatures(plan, look) + _firings(plan, look) + _pours(plan, look) + _mixes(plan, look)
    return found + melt_breaches(plan, look)


def _offsets(day, plan):
    zone, found = ZoneInfo(day["timezone"]), []

    def times(node):
        if isinstance(node, dict):
            for key, value in node.items():
                if (key in {"at", "until"} or key.endswith("_at")) and isinstance(value, str):
                    yield value
                elif key != "said":
                    yield from times(value)
        elif isinstance(node, list):
            for value in node:
                yield from times(value)

    for text in times(plan):
        moment = datetime.fromisoformat(text)
        if moment.utcoffset() != moment.astimezone(zone).utcoffset() or moment.second:
            found.append(f"{text} does not carry the zone's offset")
    return found


def _temperatures(plan, look):
    found = []
    for flask in plan["flasks"]:
        waxes = [look.waxes[w["key"]] for w in flask["waxes"]]
        steps = {SECTIONS.index(w["section"]) for w in waxes}
        low, high = look.alloys[flask["alloy"]]["flask_c"][SECTIONS[min(steps)]]
        hottest = _stones_c(look) if flask["kind"] == "stones" else 704
        own = math.ceil(low) if len(steps) > 1 else math.floor((low + high) / 2)
        own, temperature = min(own, hottest), flask["flask_c"]
        if not low <= temperature <= min(high, hottest) or temperature != int(temperature):
            found.append(f"{flask['label']}: {temperature} C is outside its band")
        others = {f["flask_c"] for f in plan["flasks"] if f["kiln"] == flask["kiln"] and f is not flask}
        if temperature != own and temperature not in others:
            found.append(f"{flask['label']}: left {own} C for a temperature no other flask has")
    return found


def _stones_c(look):
    """A kiln only falls from its top: the lowest top of the firings for stones, 454 at most."""
    firings = [firing for firing in look.day["firings"] if firing["kinds"] == ["stones"]]
    return min([454, *(max(segment["to_c"] for segment in firing["segments"]) for firing in firings)])


def _reached(firing, key, look):
    """Whether the kiln gets as hot as the firing's top, or no kiln of the day does."""
    top = max(segment["to_c"] for segment in firing["segments"])
    hot = {kiln["key"] for kiln in look.day["kilns"] if kiln.get("max_c", top) >= top}
    return key in hot or not hot


def _suits(firing, flasks, look):
    return all(
        look.sizes[f["size"]]["diameter_mm"] <= firing["max_diameter_mm"] + 0.001
        and look.sizes[f["size"]]["height_mm"] <= firing["max_height_mm"] + 0.001
        and f["kind"] in firing["kinds"]
        for f in flasks
    )


def _firings(plan, look):
    found = []
    used = {f["kiln"] for f in plan["flasks"]}
    if {f["kiln"] for f in plan["firings"]} != used:
        found.append("one firing for each kiln in use")
    for fired in plan["firings"]:
        inside = [f for f in plan["flasks"] if f["kiln"] == fired["kiln"]]
        may_run = [f for f in look.day["firings"] if _reached(f, fired["kiln"], look)]
        firing = next(f for f in may_run if _suits(f, inside, look))
        if firing["key"] != fired["firing"]:
            found.append(f"{fired['kiln']}: firing {fired['firing']}, not {firing['key']}")
        found += [f"{fired['kiln']}: {b}" for b in _segments(fired, firing, inside, look)]
    return found


def _segments(fired, firing, inside, look):
    found, kiln = [], look.kilns[fired["kiln"]]
    cooling = sorted({f["flask_c"] for f in inside}, reverse=True)
    want, before_c = [], 20
    for s in firing["segments"]:
        most = kiln["max_ramp_c_per_h" if s["to_c"] >= before_c else "cool_c_per_h"]
        want.append((min(s["ramp_c_per_h"], most), s["to_c"], s["hold_min"]))
        before_c = s["to_c"]
    want += [(kiln["cool_c_per_h"], c, 0) for c in cooling]
    if len(want) != len(fired["segments"]):
        return [f"{len(fired['segments'])} segments, not {len(want)}"]
    now_c, now = 20, fired["on_at"]
    for (rate, to_c, hold), got in zip(want, fired["segments"], strict=True):
        took = minutes(got["reached_at"], got["starts_at"])
        exact = abs(to_c - now_c) / rate * 60
        checks = {
            "ramp": got["ramp_c_per_h"] == rate and got["to_c"] == to_c,
            "starts when the one before ends": at(got["starts_at"]) == at(now),
            "ramp time": exact - 1e-6 <= took < exact + 1,
            "hold": hold <= minutes(got["ends_at"], got["reached_at"]) == got["hold_min"],
        }
        found += [f"{to_c} C: {name}" for name, holds in checks.items() if not holds]
        now_c, now = to_c, got["ends_at"]
    top, found_cooling = firing["segments"][-1]["to_c"], fired["segments"][len(firing["segments"]) :]
    for segment in found_cooling:
        flasks = [f for f in inside if f["flask_c"] == segment["to_c"]]
        if at(segment["ends_at"]) != max(at(f["out_at"]) for f in flasks):
            found.append(f"{segment['to_c']} C: held until its last flask is out")
        for flask in flasks:
            soak = soak_min(look.sizes[flask["size"]], abs(top - segment["to_c"]), segment is found_cooling[0])
            if minutes(flask["out_at"], segment["reached_at"]) < soak:
                found.append(f"{flask['label']}: soaked less than {soak:.1f} min")
        top = segment["to_c"]
    return found + _ready(found_cooling, firing["segments"][-1]["to_c"], inside, look)


def _ready(cooling, top, inside, look):
    """The first flask has soaked, and waits `slack_min`; the kiln goes on no earlier."""
    pour_at = min(at(f["out_at"]) for f in inside)
    first = min(inside, key=lambda f: at(f["out_at"]))
    size = look.sizes[first["size"]]
    soak = soak_min(size, abs(top - cooling[0]["to_c"]), after_top=True)
    waits = (pour_at - at(cooling[0]["reached_at"])) / timedelta(minutes=1) - soak
    # A kiln that is on already may use the slack.
    least = 0 if first["kiln"] in look.day.get("kiln_on_at", ()) else look.rules["slack_min"]
    return [] if waits >= least else [f"{first['label']} waits {waits} min, not slack_min"]


def colour(alloy):
    parts = alloy.get("composition_pct") or {}
    silver, copper, gold = (parts.get(p) or 0 for p in ("Ag", "Cu", "Au"))
    if silver >= 60:
        return 0
    pale = sum(share or 0 for part, share in parts.items() if part not in {"Au", "Cu"})
    words = re.split("[^a-z]+", f"{alloy['key']} {alloy.get('name', '')}".lower())
    rose = gold >= 30 and (copper > 3.5 * pale or "rose" in words or "red" in words)
    return 2 if copper >= 60 or rose else 1


def _pours(plan, look):
    found, rules = [], look.rules
    flasks = sorted(plan["flasks"], key=lambda f: at(f["out_at"]))
    steps = {(s["do"], f): s for s in plan["steps"] for f in s["flasks"]}
    if at(flasks[0]["out_at"]) != _instant(look.day["pour_at"], look):
        found.append("the first pour is at pour_at")

    def key(f):
        size = look.sizes[f["size"]]
        alloy = look.alloys[f["alloy"]]
        return (-f["flask_c"], colour(alloy), alloy["key"], size["diameter_mm"])

    for a, b in pairwise(flasks):
        if minutes(b["out_at"], a["out_at"]) < rules["pitch_min"]:
            found.append(f"{a['label']} and {b['label']} too near in time")
        if key(a) > key(b):
            found.append(f"{a['label']} before {b['label']}: not in the order of pours")
    for flask in flasks:
        label = flask["label"]
        stones = flask["kind"] == "stones"
        if stones and ("quench", label) in steps:
            found.append(f"{label}: stones are quenched")
        pour, quench, melt = (steps[do, label] for do in ("pour", "divest" if stones else "quench", "melt"))
        size = look.sizes[flask["size"]]
        # 240 minutes: the school's judgement, see the contract.
        least = 240 if stones else row(look.alloys[flask["alloy"]]["quench_min_by_diameter"], size["diameter_mm"])
        checks = {
            "pour at out_at": pour["at"] == flask["out_at"],
            "pour lasts": minutes(pour["until"], pour["at"]) == math.ceil(rules["pour_min"]),
            "quench at": quench["at"] == flask["quench_at"],
            "quench waits": minutes(quench["at"], pour["until"]) >= least,
            "melt before": at(melt["at"]) < at(melt["until"]) <= at(pour["at"]),
            "divest after": at(steps["divest", label]["at"]) >= at(quench["at"]),
        }
        found += [f"{label}: {name}" for name, holds in checks.items() if not holds]
    return found + _crossings(plan, rules)


def _crossings(plan, rules):
    """One pour at a time, at most `torches` melts, quenches clear of pours when hands are few."""
    found = []
    by = {do: [s for s in plan["steps"] if s["do"] == do] for do in ("pour", "quench", "melt")}
    for melt in by["melt"]:
        if sum(at(m["at"]) <= at(melt["at"]) < at(m["until"]) for m in by["melt"]) > rules["torches"]:
            found.append("more melts at once than torches")
    for pour in by["pour"]:
        if sum(at(p["at"]) <= at(pour["at"]) < at(p["until"]) for p in by["pour"]) > 1:
            found.append("two pours at once")
        for quench in by["quench"]:
            inside = at(pour["at"]) - timedelta(minutes=2) < at(quench["at"]) < at(pour["until"])
            if rules["hands"] < 3 and inside:
                found.append(f"quench {quench['flasks']} during a pour")
    return found


def _mixes(plan, look):
    found, rules, investment = [], look.rules, look.day["investment"]
    steps = plan["steps"]
    working_min = min(investment["working_min"], look.day.get("gloss_off_min") or math.inf)
    if [at(s["at"]) for s in steps] != sorted(at(s["at"]) for s in steps):
        found.append("steps are in order of at")
    one = {(s["do"], f): s for s in steps for f in s["flasks"]}
    on_at = {f["kiln"]: f["on_at"] for f in plan["firings"]}
    mixes = sorted((s for s in steps if s["do"] == "mix"), key=lambda s: at(s["at"]))
    if sorted(sorted(s["flasks"]) for s in mixes) != sorted(sorted(b["flasks"]) for b in plan["bowls"]):
        found.append("one mix a bowl")
    for a, b in pairwise(mixes):
        if minutes(b["at"], a["at"]) < rules["bowl_pitch_min"]:
            found.append("mixes too near")
    for mix in mixes:
        if minutes(mix["until"], mix["at"]) > 0.85 * working_min:
            found.append("mix too long")
        for label in mix["flasks"]:
            settle, load = one["set", label], one["load", label]
            kiln = next(f["kiln"] for f in plan["flasks"] if f["label"] == label)
            checks = {
                "sets from its mix's end": settle["at"] == mix["until"],
                "sets long enough": minutes(settle["until"], settle["at"]) >= investment["set_min"],
                "loaded after its set": at(load["at"]) >= at(settle["until"]),
                "loaded before its kiln is on": at(load["until"]) <= at(on_at[kiln]),
            }
            found += [f"{label}: {name}" for name, holds in checks.items() if not holds]
    if mixes:
        found += _bench(plan, look, mixes)
    return found + _already_done(plan, look)


def _already_done(plan, look):
    """What was done before this plan: nothing else lies before now, and no flask is loaded before it has set."""
    day, poured = look.day, set(look.day.get("poured", ()))
    inside = {flask["label"]: flask["kiln"] for flask in plan["flasks"]}
    on = set(day.get("kiln_on_at", ())) | {inside[label] for label in poured}
    invested = day.get("invested_at", {})
    found = []
    for label in day.get("fixed", ()):
        if inside[label] != day["previous"][label].get("kiln", inside[label]):
            found.append(f"{label}: a fixed flask has left its kiln")
    for label in sorted(set(invested) - poured):
        steps = {step["do"]: step for step in plan["steps"] if step["flasks"] == [label]}
        if set(steps) < {"set", "load"}:
            found.append(f"{label}: an invested flask sets and is loaded")
        elif inside[label] not in on and at(steps["load"]["at"]) < at(steps["set"]["until"]):
            found.append(f"{label}: loaded before its set")
        elif minutes(steps["set"]["until"], steps["set"]["at"]) < look.day["investment"]["set_min"]:
            found.append(f"{label}: sets too short")
    if day.get("now") is None:
        return found
    now = _instant(day["now"], look)
    for step in plan["steps"]:
        inside_done = step["flasks"] and set(step["flasks"]) <= poured
        set_before = step["do"] == "set" and set(step["flasks"]) <= set(invested)
        of_kiln = step["do"] in {"load", "kiln_on", "ramp", "hold", "soak"} and step["kiln"] in on
        if at(step["at"]) < now and not (inside_done or set_before or of_kiln):
            found.append(f"{step['do']} before now")
    return found


def _within(step, hours, look):
    """Whether a step lies within hours of its local day; one that the clock skips counts by the clock before."""
    if hours[0] == "24:00":
        return False
    opens, closes = (_instant(f"{step['at'][:10]}T{hour}", look) for hour in hours)
    return opens <= at(step["at"]) <= at(step["until"]) <= closes


def _bench(plan, look, mixes):
    found, rules, steps = [], look.rules, plan["steps"]
    mount = [s for s in steps if s["do"] == "mount"]
    closes = [s for s in steps if s["do"] == "hand_in_closes"]
    if len(mount) != 1 or len(closes) != 1:
        return ["one mount, one hand_in_closes"]
    fresh = [f for f in plan["flasks"] if f["label"] not in look.day.get("fixed", [])]
    work = rules["mount_min_per_wax"] * sum(len(f["waxes"]) for f in fresh) + rules["mount_min_per_flask"] * len(fresh)
    need = max(rules["mount_floor_min"], work / rules["hands"])
    lasts = minutes(mount[0]["until"], mount[0]["at"])
    begun = "now" in look.day and at(mount[0]["at"]) == _instant(look.day["now"], look) and lasts < need
    if at(mount[0]["until"]) != at(mixes[0]["at"]) or not (begun or need <= lasts < need + 1):
        found.append("mount ends at the first mix and lasts as long as it must")
    if closes[0]["at"] != mount[0]["at"]:
        found.append("hand-in closes as mounting starts")
    hours = look.day.get("hours")
    if hours:
        for step in steps:
            if step["do"] in {"mix", "load"}:
                usual = [hours["opens"], hours["closes"]]
                own = hours.get("days", {}).get(step["at"][:10], usual) or ("24:00", "00:00")
                if not _within(step, own, look):
                    start = step["at"][11:16]
                    found.append(f"{step['do']} at {start} is outside the hours")
    return found
