"""A student's own times of a casting day as a calendar file: hand-in, the pour of each flask with a wax, pick-up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set

from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.values.mishap import Fate
from casting.models import CastingDay, Plan, Wax
from casting.presenters.calendar_file import Entry, state_of, written
from casting.presenters.followed import Followed, following_of
from school.models import Student


def own_calendar(day: CastingDay, student: Student) -> bytes:
    """Return the student's times of a day as an iCalendar file; before a plan, hand-in and the first pour.

    The pour of a flask that is lost is told as such and cancelled, and no piece is picked up that is cast again.
    """
    standing = Wax.objects.filter(day=day, student=student, withdrawn_at__isnull=True).order_by("tag")
    whats = dict(standing.values_list("tag", "what"))
    last = Plan.objects.latest_of(day)
    followed = following_of(day, whats).in_flask
    again = set(standing.filter(recast__fate=Fate.AGAIN).values_list("tag", flat=True))
    entries = sorted(_entries(day, followed, whats, again), key=lambda entry: (entry.at, entry.key))
    return written(entries, day, f"/student/{student.pk}", state_of(last) if last else (0, timezone.now()))


def _entries(
    day: CastingDay, followed: Mapping[str, Followed], whats: Mapping[str, str], again: Set[str]
) -> Iterator[Entry]:
    closes = min(day.hand_in_closes_at or day.pour_at, day.pour_at)
    if day.hand_in_closes_at:
        yield Entry("hand-in", _("Hand-in closes"), closes, closes)
    elif day.hand_in_open():
        yield Entry("hand-in", _("Hand-in ends with the first pour"), closes, closes)
    by_flask: dict[str, list[Followed]] = {}
    for one in followed.values():
        by_flask.setdefault(one.flask.label, []).append(one)
    for label, inside in sorted(by_flask.items()):
        own = ", ".join(f"{one.found.on_base.name.tag} {whats[one.found.on_base.name.tag]}" for one in inside)
        flask, words = inside[0].flask, {"label": label, "own": own}
        title = _("Flask %(label)s is not poured: %(own)s") if flask.is_lost else _("Flask %(label)s pours: %(own)s")
        note = flask.mishap.words if flask.mishap else ""
        yield Entry(f"pour/{label}", title % words, flask.out_at, flask.out_at, note, flask.is_lost)
    ends = {tag: one.out_at for tag, one in followed.items() if one.out_at}
    if ends:
        comes = [at for tag, at in ends.items() if tag not in again]
        title, at = _("Pick-up: your last piece is out of its investment by now"), max(comes or ends.values())
        yield Entry("pick-up", title, at, at, cancelled=not comes)
    if not by_flask:
        yield Entry("pour", _("First pour"), day.pour_at, day.pour_at)
