"""The letters of a paper in a template."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.calc.values.marked_text import FROM_MEMORY
from casting.papers.pdf.glyphs import BOX
from casting.papers.pdf.glyphs import in_our_letters as printed
from casting.presenters import from_memory

register = template.Library()

PLACE = "<!-- lacking -->"
"""The place where a sheet explains its box for a missing letter; nothing that anybody typed can look like it."""
PLACE_OF_STAR = "<!-- from memory -->"
"""The place where it explains the star after a figure from memory."""


@register.simple_block_tag
def in_our_letters(content: str) -> SafeString:
    """A sheet with a box for each sign that our fonts lack; it explains the boxes and the stars that it has."""
    sheet, lacking = printed(content)
    note = _("%(box)s: a sign that this paper has no letter for. Go by the tag.") % {"box": BOX}
    sheet = sheet.replace(PLACE_OF_STAR, from_memory.note() if FROM_MEMORY in content else "")
    return SafeString(sheet.replace(PLACE, note if lacking else ""))
