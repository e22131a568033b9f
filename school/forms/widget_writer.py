"""Widgets written by Python: the same HTML as Django's own templates make.

The hand-in page has some forty, each of several templates; those took a third of its time.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Mapping
from typing import Any

from django.forms.renderers import TemplatesSetting
from django.http import HttpRequest
from django.utils.functional import Promise
from django.utils.safestring import SafeString

HOME = "django/forms/widgets/"


class WidgetWriter(TemplatesSetting):
    """A renderer that writes the common widgets itself and leaves anything else to its template."""

    def render(self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None) -> SafeString:
        """Return the HTML of a widget, or of whatever else a form is made of."""
        write = WRITERS.get(template_name)
        widget = context.get("widget", {})
        if write is None or widget.get("wrap_label"):
            return SafeString(super().render(template_name, context, request))  # a template escapes by itself
        return SafeString(write(widget))  # every part of it goes through `_said`


def _said(value: Any) -> str:
    """A value between quotes or tags: what is marked as safe stays as it is."""
    said = str(value) if isinstance(value, Promise) else value
    return str(said) if hasattr(said, "__html__") else html.escape(str(said))


def _attributes(widget: Mapping[str, Any]) -> str:
    return "".join(
        f" {_said(name)}" if value is True else f' {_said(name)}="{_said(value)}"'
        for name, value in widget["attrs"].items()
        if value is not False
    )


def _input(widget: Mapping[str, Any]) -> str:
    value = "" if widget["value"] is None else f' value="{_said(widget["value"])}"'
    return f'<input type="{_said(widget["type"])}" name="{_said(widget["name"])}"{value}{_attributes(widget)}>'


def _textarea(widget: Mapping[str, Any]) -> str:
    # A browser drops the first line break, and only that.
    return f'<textarea name="{_said(widget["name"])}"{_attributes(widget)}>\n{_said(widget["value"] or "")}</textarea>'


def _select(widget: Mapping[str, Any]) -> str:
    groups = "".join(_group(name, options) for name, options, _nth in widget["optgroups"])
    return f'<select name="{_said(widget["name"])}"{_attributes(widget)}>{groups}</select>'


def _group(name: Any, options: list[Mapping[str, Any]]) -> str:
    inside = "".join(_option(option) for option in options)
    return f'<optgroup label="{_said(name)}">{inside}</optgroup>' if name else inside


def _option(option: Mapping[str, Any]) -> str:
    return f'<option value="{_said(option["value"])}"{_attributes(option)}>{_said(option["label"])}</option>'


INPUTS = ("text", "number", "hidden", "email", "password", "checkbox", "radio_option", "checkbox_option")
WRITERS: Mapping[str, Callable[[Mapping[str, Any]], str]] = {
    **{f"{HOME}{name}.html": _input for name in INPUTS},
    f"{HOME}textarea.html": _textarea,
    f"{HOME}select.html": _select,
}
