"""Rows of the shelf's file as rows of a school, unsaved, with changes."""

import json

import pytest
from django.core.exceptions import ValidationError

from casting.dayfile.shelf_file import FIXTURES
from casting.models import Alloy, Firing, FlaskSize, Investment, Kiln, PatternMaterial

SHELF = json.loads((FIXTURES / "shelf.json").read_text("utf-8"))["shelf"]
MODELS = {
    "alloys": Alloy,
    "patterns": PatternMaterial,
    "investment": Investment,
    "flask_sizes": FlaskSize,
    "kilns": Kiln,
    "firings": Firing,
}
FAIR = [
    (heading, row)
    for heading in MODELS
    for row in (SHELF[heading] if isinstance(SHELF[heading], list) else [SHELF[heading]])
]


def row_of(school, heading, **changed):
    """The first row of the shelf's file under a heading, with changes; nothing is saved."""
    row = next(row for name, row in FAIR if name == heading) | changed
    return MODELS[heading](school=school, **({"name": "a name"} | row))


def refused(row):
    """What is said at each field."""
    with pytest.raises(ValidationError) as error:
        row.full_clean()
    return error.value.message_dict


def refused_at(row, field):
    """The only sentence that is said, which must be at that field."""
    told = refused(row)
    assert list(told) == [field]
    (sentence,) = told[field]
    return sentence
