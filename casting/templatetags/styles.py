"""Style sheets in the page itself: a phone on slow Wi-Fi paints with the first answer, and waits for no other."""

from __future__ import annotations

import re
from functools import cache

from django import template
from django.conf import settings
from django.template import Context
from django.templatetags.static import static
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

register = template.Library()


@register.simple_tag(takes_context=True)
def inline_styles(context: Context, *names: str) -> SafeString:
    """Return style sheets under the nonce of the answer's policy; links to them where an answer has none."""
    # Read as a text first: the policy's nonce counts as nothing until somebody has read it.
    nonce = str(context.get("csp_nonce", ""))
    if not nonce:
        return format_html_join("", '<link rel="stylesheet" href="{}">', ((static(name),) for name in names))
    return format_html('<style nonce="{}">{}</style>', nonce, _packed(names))


@cache
def _packed(names: tuple[str, ...]) -> SafeString:
    """The sheets without comments and needless white space."""
    sheets = ((settings.BASE_DIR / "static" / name).read_text("utf-8") for name in names)
    css = " ".join(re.sub(r"/\*.*?\*/", "", "".join(sheets), flags=re.DOTALL).split())
    # The school's own files: nobody else's word is in them.
    return mark_safe(re.sub(r" ?([{};,]) ?", r"\1", css))  # noqa: S308
