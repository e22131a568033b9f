"""The note under a page that explains the stars after its figures from memory."""

from __future__ import annotations

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from casting.calc.values.marked_text import FROM_MEMORY
from casting.presenters.from_memory import note

register = template.Library()


@register.simple_block_tag
def stars_explained(content: str) -> SafeString:
    """A page; if a figure on it has a star, a note at its foot says what that means."""
    if FROM_MEMORY not in content:
        return SafeString(content)
    return SafeString(content) + format_html('<p class="muted">{}</p>', note())
