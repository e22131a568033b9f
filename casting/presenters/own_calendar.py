"""A student's own times of a casting day as a calendar file: hand-in, the pour of each flask with a wax, pick-up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from django.utils import timezone
from django.utils.translation import gettext as _

from casting.models import CastingDay, Plan, Wax
from casting.presenters.calendar_file import Entry, written
from casting.presenters.followed import Followed, following_of
from school.models import Student


def own_calendar(day: CastingDay, student: Student) -> bytes:
    """Return the student's times of a day as an iCalendar file; before a plan, hand-in and the first pour."""
    standing = Wax.objects.filter(day=day, student=student, withdrawn_at__isnull=True).order_by("tag")
    whats = dict(standing.values_list("tag", "what"))
    last = Plan.objects.latest_of(day)
    followed = following_of(day, whats).in_flask
    entries = sorted(_entries(day, followed, whats), key=lambda entry: (entry.at, entry.key))
    revision, made_at = (last.revision, last.made_at) if last else (0, timezone.now())
    return written(entries, day, f"/student/{student.pk}", revision, made_at)


def _entries(day: CastingDay, followed: Mapping[str, Followed], whats: Mapping[str, str]) -> Iterator[Entry]:
    closes = min(day.hand_in_closes_at or day.pour_at, day.pour_at)
    if day.hand_in_closes_at:
        yield Entry("hand-in", _("Hand-in closes"), closes, closes)
    by_flask: dict[str, list[Followed]] = {}
    for one in followed.values():
        by_flask.setdefault(one.flask.label, []).append(one)
    for label, inside in sorted(by_flask.items()):
        own = ", ".join(f"{one.found.on_base.name.tag} {whats[one.found.on_base.name.tag]}" for one in inside)
        at = inside[0].flask.out_at
        yield Entry(f"pour/{label}", _("Flask %(label)s pours: %(own)s") % {"label": label, "own": own}, at, at)
    ends = [one.out_at for one in followed.values() if one.out_at]
    if ends:
        yield Entry("pick-up", _("Pick-up: your last piece is out of its investment by now"), max(ends), max(ends))
    if not by_flask:
        yield Entry("pour", _("First pour"), day.pour_at, day.pour_at)
