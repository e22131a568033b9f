"""The rows of a school's shelf, what it works with first. Reads only."""

from __future__ import annotations

from casting.models import Alloy, Firing, FlaskSize, HouseRules, Investment, Kiln, PatternMaterial
from casting.models.shelf import ShelfRow
from school.models import School

LISTS: dict[str, type[ShelfRow]] = {
    "alloys": Alloy,
    "patterns": PatternMaterial,
    "investment": Investment,
    "flask_sizes": FlaskSize,
    "firings": Firing,
    "kilns": Kiln,
}
"""The lists of a shelf as a day file calls them."""


def shelf_rows(school: School) -> dict[str, list[ShelfRow]]:
    """Return every row of a school's shelf by the list it is in. A query for each list."""
    return {
        heading: list(model._default_manager.filter(school=school).order_by("-offered", "place", "key"))
        for heading, model in LISTS.items()
    }


def house_rules(school: School) -> HouseRules | None:
    """Return the school's house rules; None if it goes by the usual ones. One query."""
    found: HouseRules | None = HouseRules.objects.at(school).first()
    return found
