"""Forms that two teachers may have open at once: what the first has saved, told to the second, who loses nothing."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _

from casting.forms.shelf.typed import Moved

Boxes = dict[str, list[str]]
"""The texts of a form's boxes by field, as a browser sends them; empty ones are left out."""


@dataclass(frozen=True, slots=True)
class Since:
    """What to show after somebody else has saved: the data to go on from, and what was changed."""

    data: QueryDict
    moved: Sequence[Moved]


def version_in(data: QueryDict) -> int:
    """Return the version that the page showed; -1, which nothing has, if there is none."""
    typed = data.get("version", "")
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 9 else -1


def boxes_of(form: forms.Form | forms.ModelForm[Any]) -> Boxes:
    """Return what an unbound form shows."""
    found = {}
    for name, field in form.fields.items():
        value = form[name].value()
        if isinstance(field.widget, forms.CheckboxInput):
            found[name] = ["on"] if value else []
        else:
            shown = field.widget.format_value(value)
            found[name] = _filled(shown if isinstance(shown, list) else [shown])
    return found


def seen_as(boxes: Boxes) -> str:
    """Return what a page shows as it carries it."""
    return json.dumps(boxes, ensure_ascii=False)


def since(
    data: QueryDict, now: forms.Form | forms.ModelForm[Any], saved_by: str, labels: Mapping[str, Any] | None = None
) -> Since:
    """Hold what was typed against what is saved now; a box left alone takes what is saved now.

    `now` is the unbound form of what is saved; `labels` are those of fields whose own say too little by themselves.
    """
    seen, theirs, going_on, moved = _seen(data), boxes_of(now), data.copy(), []
    who = _("Saved by %(name)s") % {"name": saved_by} if saved_by else ""
    for name, field in now.fields.items():
        shown, mine = seen.get(name, []), _filled(data.getlist(name))
        own = mine != shown and not field.widget.value_omitted_from_data(data, {}, name)
        if not own:
            going_on.setlist(name, theirs[name])
        if theirs[name] != shown and name in seen:
            before, after = _in_words(field, shown), _in_words(field, theirs[name])
            moved.append(Moved((labels or {}).get(name, field.label), before, after, who, own))
    return Since(going_on, moved)


def _filled(texts: Sequence[Any]) -> list[str]:
    return sorted(str(text).strip() for text in texts if text is not None and str(text).strip())


def _seen(data: QueryDict) -> Boxes:
    """Return what the page showed when it was opened, as it carries it; nothing if that cannot be read."""
    try:
        seen = json.loads(data.get("seen", ""))
    except ValueError:
        return {}
    if not isinstance(seen, dict):
        return {}
    return {name: _filled(texts) for name, texts in seen.items() if isinstance(texts, list)}


def _in_words(field: forms.Field, texts: Sequence[str]) -> str:
    """Return the texts of a box as a person reads them; nothing if it is empty."""
    if isinstance(field.widget, forms.CheckboxInput):
        return _("yes") if texts else _("no")
    called = {str(key): str(label) for key, label in getattr(field.widget, "choices", ())}
    return ", ".join(called.get(text, text) for text in texts)
