"""The signs of the safety papers in a template."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString

from casting.drawings.signs import draw_sign, drawn

register = template.Library()


@register.simple_tag
def sign(code: str, size_mm: float = 9) -> SafeString | str:
    """The sign of a code; nothing if there is no drawing for it."""
    return draw_sign(code, size_mm) if drawn((code,)) else ""
