"""The note under a page that explains the stars after its figures from memory."""

from __future__ import annotations

from django import template
from django.template import Context
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.calc.values.marked_text import FROM_MEMORY
from casting.presenters.from_memory import note

register = template.Library()


@register.simple_block_tag(takes_context=True)
def stars_explained(context: Context, content: str) -> SafeString:
    """A page; if a figure on it has a star, a note at its foot says what that means, and leads a teacher to all."""
    if FROM_MEMORY not in content:
        return SafeString(content)
    request = context.get("request")
    more: str | SafeString = ""
    if request is not None and getattr(request, "person", None):
        address = reverse("sources") + "#from-memory"
        more = format_html(' <a class="source" href="{}">{}</a>', address, _("Where the figures come from"))
    return SafeString(content) + format_html('<p class="muted">{}{}</p>', note(), more)
