"""Takes a figure of the school's own days as its default: a change of the shelf, whose source says so."""

from __future__ import annotations

import copy

from django.utils.translation import gettext as _

from casting.models.errors import NotPlanned
from casting.models.shelf import OWN_DAYS, ShelfRow
from casting.presenters.looking_back.learned import Line
from casting.services import shelf
from school.models import Person


def take(line: Line, offered: float, *, by: Person) -> ShelfRow:
    """Take the offered figure of a line as the default; the shelf's own page puts it back.

    Raises `NotPlanned` with a sentence if another figure, or none, is offered by now, or if somebody has changed the
    row meanwhile.
    """
    if line.take is None or line.offer is None or line.offer.offered != offered:
        raise NotPlanned(_("The figures have changed since this page was opened. Look at them again."))
    row, columns = line.take.row, line.take.columns(offered)
    part = f", {line.take.part}" if line.take.part else ""
    typed = f"{OWN_DAYS}, n = {line.spread.n}{part}"
    if row.pk is None:
        return shelf.add(copy.copy(row), columns, by, typed)
    try:
        return shelf.change(row, columns, row.version, by, typed)
    except shelf.ChangedMeanwhile as changed:
        raise NotPlanned(_("The figures have changed since this page was opened. Look at them again.")) from changed
