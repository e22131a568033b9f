"""People in the clock: every step outside the hours when somebody is there is told, and nothing inside them."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

MINUTE = timedelta(minutes=1)
WHEN = re.compile(r"([A-Z][a-z]{2}) (\d\d:\d\d(?: \(\w+\))?)(?: to (?:([A-Z][a-z]{2}) )?(\d\d:\d\d(?: \(\w+\))?))?")
OF_PEOPLE = ("hours-", "kiln-on-nobody", "kiln-turn-nobody", "kiln-ask", "kiln-alone", "kiln-delayed-start")
BY_ITSELF = {"set", "kiln_on", "ramp", "hold", "soak"}


class Wall:
    """The clock on the wall over the days of a plan, minute by minute, and whether somebody is there."""

    def __init__(self, day, first, last):
        self.zone, self.hours = ZoneInfo(day["timezone"]), day["hours"]
        minutes = int((last - first) / MINUTE) + 2 * 1440
        self.minutes = [first - timedelta(days=1) + nth * MINUTE for nth in range(minutes)]
        self.at = {self.label(instant): instant for instant in self.minutes}

    def local(self, instant):
        return instant.astimezone(self.zone)

    def label(self, instant):
        local = self.local(instant)
        twice = local.replace(fold=0).utcoffset() > local.replace(fold=1).utcoffset()
        which = f" ({'second' if local.fold else 'first'})" if twice else ""
        return f"{local:%a %H:%M}{which}"

    def opening(self, day: date):
        """From when until when somebody is there on a local day; None if nobody is."""
        usual = [self.hours["opens"], self.hours["closes"]]
        own = self.hours.get("days", {}).get(day.isoformat(), usual)
        if own is None:
            return None
        opens, closes = (datetime.combine(day, time.fromisoformat(clock), self.zone) for clock in own)
        if own[1] == "23:59":
            closes = datetime.combine(day + timedelta(days=1), time(0), self.zone)
        return opens.astimezone(UTC), closes.astimezone(UTC)

    def there(self, at, until):
        span = self.opening(self.local(at).date())
        before = self.opening(self.local(at).date() - timedelta(days=1))
        return any(one is not None and one[0] <= at and until <= one[1] for one in (span, before))

    def told(self, text):
        """The spans that a sentence names."""
        for day, clock, end_day, end in WHEN.findall(text):
            start = self.at[f"{day} {clock}"]
            yield start, self.at[f"{end_day or day} {end}"] if end else start


def instant(text):
    return datetime.fromisoformat(text).astimezone(UTC)


def people_breaches(day, plan):
    """Breaches of the lines about people, in the day's own words."""
    told = [one for one in plan["cautions"] if one["id"].startswith(OF_PEOPLE)]
    if not plan["steps"]:
        return []
    if not day.get("hours"):
        steps = [step for step in plan["steps"] if not _poured(step, day)]
        wanted = ["hours-unknown"] if steps else []
        return [] if [one["id"] for one in told] == wanted else ["one question where nobody recorded the hours"]
    wall = Wall(day, instant(plan["steps"][0]["at"]), max(instant(step["until"]) for step in plan["steps"]))
    found = [f"{one['id']} of a step that is inside the hours" for one in told if not _is_true(one, wall)]
    for step in plan["steps"]:
        if not _poured(step, day):
            found += _of_step(step, day, plan, told, wall)
    return found


def _poured(step, day):
    return bool(step["flasks"]) and set(step["flasks"]) <= set(day.get("poured", ()))


def _is_true(caution, wall):
    """Nobody is there all through what a caution tells of a kiln; of the bench, at some of it."""
    spans = list(wall.told(caution["text"]))
    alone = caution["id"] == "kiln-alone"
    return bool(spans) and all(
        not any(wall.there(at, at) for at in _inside(*span)) if alone else not wall.there(*span) for span in spans
    )


def _inside(start, end):
    return [start + nth * MINUTE for nth in range(1, int((end - start) / MINUTE))]


def _of_step(step, day, plan, told, wall):
    at, until, do = instant(step["at"]), instant(step["until"]), step["do"]
    on = step["kiln"] in day.get("kiln_on_at", {})
    if do not in BY_ITSELF:
        names = step["flasks"] if do not in {"mount", "load"} else []
        missing = not wall.there(at, until) and not (do == "load" and on)
        return [f"{do} {step['at']} untold"] if missing and not _said(told, "hours-", wall, at, until, names) else []
    if do == "set":
        return []
    kiln = next(one for one in day["kilns"] if one["key"] == step["kiln"])
    called = [kiln.get("name") or f"kiln {kiln['key']}"]
    if do == "kiln_on":
        rules = ("kiln-delayed-start", "kiln-on-nobody", "kiln-ask")
        missing = not on and not wall.there(at, at) and not _said(told, rules, wall, at, at, called)
        return [f"kiln_on {step['at']} untold"] if missing else []
    since = instant(day["now"]) if on and day.get("now") else at
    alone = [
        one
        for one in [max(since, at), *_inside(max(since, at), until)]
        if one < until and not wall.there(one, one + MINUTE)
    ]
    missing = [one for one in alone if not _said(told, "kiln-alone", wall, one, one, called)]
    found = [f"{do} {missing[0]} untold"] if missing else []
    return found + _turn(step, kiln, plan, told, wall, since)


def _turn(step, kiln, plan, told, wall, since):
    """The end of a hold, where the kiln is set to its next temperature."""
    segments = next(one["segments"] for one in plan["firings"] if one["kiln"] == kiln["key"])
    end = instant(step["until"])
    turns = {instant(one["starts_at"]) for one in segments[1:]}
    by_itself = kiln.get("runs_program")
    by_itself = bool(kiln.get("delayed_start")) if by_itself is None else by_itself
    if step["do"] == "ramp" or by_itself or end not in turns or end < since or wall.there(end, end):
        return []
    called = [kiln.get("name") or f"kiln {kiln['key']}"]
    rules = ("kiln-turn-nobody", "kiln-ask")
    return [] if _said(told, rules, wall, end, end, called) else [f"turn at {end} untold"]


def _said(told, rules, wall, at, until, names):
    """Whether a caution of these rules names all of `names`, and a time or a span that holds the step's."""
    return any(
        all(re.search(rf"\b{re.escape(name)}\b", one["text"]) for name in names)
        and any(start <= at and until <= end for start, end in wall.told(one["text"]))
        for one in told
        if one["id"].startswith(rules)
    )
