"""Changing what stands on a school's shelf: the only writer of its rows but for the stock that a school begins with."""

from __future__ import annotations

import copy
import itertools
from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.models import HouseRules
from casting.models.shelf import TYPED, ShelfRow, key_from
from casting.presenters.formats import units_of
from casting.presenters.refusals import said_at_box
from casting.selectors.shelf import stock_of
from casting.services.stock import retold, stock_sources
from school.models import Person


class ChangedMeanwhile(Exception):
    """Somebody else has saved the row since the page was opened."""


class NotMoved(Exception):
    """A row that has to stay where it is, and why."""

    def __init__(self, sentence: str) -> None:
        self.sentence = sentence
        super().__init__(sentence)


@transaction.atomic
def change(row: ShelfRow, values: Mapping[str, Any], version: int, by: Person, typed: str = TYPED) -> ShelfRow:
    """Write columns of a row that stands at that version; `ChangedMeanwhile` if it does not any more.

    A figure that is changed says who typed it and when, after how its source begins, `typed`; one that is the shelf's
    again has the shelf's source.
    """
    kept: ShelfRow = type(row)._default_manager.select_for_update().get(pk=row.pk)
    if kept.version != version:
        raise ChangedMeanwhile
    before = kept.to_day()
    for name, value in values.items():
        setattr(kept, name, value)
    _say_where_from(kept, before, by, typed)
    kept.version += 1
    kept.save()
    return kept


@transaction.atomic
def add(row: ShelfRow, values: Mapping[str, Any], by: Person, typed: str = TYPED) -> ShelfRow:
    """Write a new row at the end of its list: `row` is unsaved, with the sources of what it was copied from."""
    before = row.to_day() if row.sources or isinstance(row, HouseRules) else {}
    for name, value in values.items():
        setattr(row, name, value)
    there = type(row)._default_manager.filter(school=row.school)
    row.key = row.key or _free_key(row.name, set(there.values_list("key", flat=True)))
    row.place = max(there.values_list("place", flat=True), default=-1) + 1
    _say_where_from(row, before, by, typed)
    row.save()
    return row


def _say_where_from(row: ShelfRow, before: Mapping[str, Any], by: Person, typed: str) -> None:
    """Give figures that were changed their new source."""
    on = timezone.now().astimezone(row.school.tz).date()
    retold(row, before, on, by=by.name, typed=typed)
    gone = {name for name in row.figures if name in before and name not in row.to_day()}
    row.sources = {figure: told for figure, told in row.sources.items() if figure.partition(".")[0] not in gone}
    stock, told = stock_of(row), stock_sources(row)
    now = row.to_day()
    back = {name for name in stock if now.get(name) != before.get(name) and getattr(row, name) == stock[name]}
    for name in back:
        own = {figure for figure in row.sources if figure.partition(".")[0] == name}
        row.sources = {figure: origin for figure, origin in row.sources.items() if figure not in own}
        row.sources |= {figure: origin for figure, origin in told.items() if figure.partition(".")[0] == name}


def _free_key(name: str, taken: set[str]) -> str:
    """Return a key for a new row that no row of the school has."""
    plain = key_from(name)
    numbered = (plain if nth == 1 else f"{plain}-{nth}" for nth in itertools.count(1))
    return next(key for key in numbered if key not in taken)


@transaction.atomic
def move(row: ShelfRow, earlier: bool) -> None:
    """Let a row change places with its neighbour among those that are worked with; at the end nothing happens."""
    rows = list(type(row)._default_manager.select_for_update().filter(school=row.school).order_by("place", "key"))
    shown = [one for one in rows if one.offered]
    at = next((nth for nth, one in enumerate(shown) if one.pk == row.pk), None)
    to = None if at is None else at + (-1 if earlier else 1)
    if at is None or to is None or not 0 <= to < len(shown):
        return
    here, there = rows.index(shown[at]), rows.index(shown[to])
    rows[here], rows[there] = rows[there], rows[here]
    for place, one in enumerate(rows):
        one.place = place
    type(row)._default_manager.bulk_update(rows, ["place"])


@transaction.atomic
def put_away(row: ShelfRow) -> None:
    """Work with a row no more; what past plans used stays. `NotMoved` if it is the last of its kind."""
    left = type(row)._default_manager.select_for_update().filter(school=row.school, offered=True)
    if row.offered and left.count() == 1:
        what = str(row._meta.verbose_name_plural)
        raise NotMoved(
            _("%(name)s is the last of the %(things)s. Add another one or take one out first.")
            % {"name": row.name, "things": what}
        )
    type(row)._default_manager.filter(pk=row.pk).update(offered=False, version=F("version") + 1)


def take_out(row: ShelfRow) -> None:
    """Work with a row again; `NotMoved` if it cannot be worked with as the school now is, like a flask too tall."""
    again = copy.copy(row)
    again.offered = True
    if refused := again.refusals():
        raise NotMoved(said_at_box(refused[0], units_of(row.school)))
    type(row)._default_manager.filter(pk=row.pk).update(offered=True, version=F("version") + 1)
