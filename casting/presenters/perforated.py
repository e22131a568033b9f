"""What a perforated flask takes beside a solid one of its size, for the flask's own page."""

from __future__ import annotations

from dataclasses import replace

from django.utils.translation import gettext as _

from casting.calc.quantities.investment import powder_for, water_for
from casting.calc.values import day_input
from casting.calc.values.errors import Refused
from casting.models import FlaskSize, Investment
from casting.models.shelf import ShelfRow
from casting.presenters.formats import decimals, units_of
from casting.presenters.lengths import length


def beside_solid(row: ShelfRow) -> list[str]:
    """Return sentences about powder, water, metal and vacuum; none for anything but a perforated flask that is read."""
    if not isinstance(row, FlaskSize) or row.wall != FlaskSize.Wall.PERFORATED:
        return []
    powder_row = Investment.objects.at(row.school).first()
    try:
        size = row.read()
        powder = powder_row and powder_row.read()
    except Refused:  # its own boxes say what is wrong
        return []
    assert isinstance(size, day_input.FlaskSize)
    across_mm, fill_mm = (length(one, units_of(row.school)) for one in size.filled_mm)
    of_filling = _("It is filled inside its sleeve or tape, %(across)s across, up to %(fill)s.")
    lines = [of_filling % {"across": across_mm, "fill": fill_mm}]
    if isinstance(powder, day_input.Investment):
        solid = replace(size, wall="solid", sleeve_mm=None, sleeve_height_mm=None, fill_mm=None)
        takes = _("It takes %(own)s g of powder and %(own_water)s g of water; a solid one %(solid)s g and %(water)s g.")
        own_g, solid_g = powder_for(size, powder), powder_for(solid, powder)
        figures = {"own": own_g, "solid": solid_g}
        waters = {"own_water": water_for(own_g, powder), "water": water_for(solid_g, powder)}
        lines.append(takes % (figures | {name: decimals(water_g, 1) for name, water_g in waters.items()}))
    return [
        *lines,
        _("The steel between is not subtracted: a margin. The charge of metal is that of a solid one."),
        _("Vacuum draws through its wall too. Take the sleeve off before the kiln (common practice)."),
    ]
