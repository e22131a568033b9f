"""Forms that two teachers may have open at once: what the first has saved, told to the second, who loses nothing."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _

Boxes = dict[str, list[str]]
"""The texts of a form's boxes by field, as a browser sends them; empty ones are left out."""


@dataclass(frozen=True, slots=True)
class Moved:
    """A box, or boxes that belong together, that somebody else has changed: what the page showed, what is saved now,
    who saved it, and whether both typed there."""

    label: Any
    before: str
    now: str
    who: str
    both: bool


@dataclass(frozen=True, slots=True)
class Since:
    """What to show after somebody else has saved: the data to go on from, and what was changed."""

    data: QueryDict
    moved: Sequence[Moved]

    @property
    def texts(self) -> dict[str, str]:
        """The data of a form whose boxes hold one text each."""
        return {name: texts[-1] if texts else "" for name, texts in self.data.lists()}


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


def saved_by(name: str) -> Callable[[str], str]:
    """Return who saved every box: one person; nothing is said if nobody is known."""
    words = _("Saved by %(name)s") % {"name": name} if name else ""
    return lambda _group: words


def since(
    data: QueryDict,
    now: forms.Form | forms.ModelForm[Any],
    who: Callable[[str], str],
    labels: Mapping[str, Any] | None = None,
    group_of: Callable[[str], str] = str,
) -> Since:
    """Hold what was typed against what is saved now; a box left alone takes what is saved now.

    `now` is the unbound form of what is saved. Boxes of one group, like the rows of a table, are typed by one teacher
    or the other and never mixed; without `group_of` each box stands alone. `labels` are those of groups whose first
    field's own says too little; `who` tells of a group who saved it.
    """
    seen, theirs, going_on, moved = _seen(data), boxes_of(now), data.copy(), []
    for group, names in _groups(now, [*data, *seen], group_of).items():
        field = now.fields[names[0]]
        shown, saved = ({name: boxes.get(name, []) for name in names} for boxes in (seen, theirs))
        own = any(_filled(data.getlist(name)) != shown[name] and _is_sent(now, name, data) for name in names)
        if field.widget.is_hidden or not own:
            for name in names:
                going_on.setlist(name, saved[name])
        if saved != shown and not field.widget.is_hidden and any(name in seen for name in names):
            before, after = (_in_words(now, boxes) for boxes in (shown, saved))
            moved.append(Moved((labels or {}).get(group, field.label), before, after, who(group), own))
    return Since(going_on, moved)


def _groups(now: forms.Form | forms.ModelForm[Any], sent: Sequence[str], group_of: Callable[[str], str]) -> Boxes:
    """Return the names of each group's boxes: those of the form, and any more that were sent for it, like new rows."""
    groups: Boxes = {}
    for name in now.fields:
        groups.setdefault(group_of(name), []).append(name)
    for name in sent:
        if name not in groups.get(group_of(name), [name]):
            groups[group_of(name)].append(name)
    return groups


def _is_sent(now: forms.Form | forms.ModelForm[Any], name: str, data: QueryDict) -> bool:
    """Whether a browser sent a box, or would send nothing for it, like a tick that was taken away."""
    field = now.fields.get(name)
    return name in data if field is None else not field.widget.value_omitted_from_data(data, {}, name)


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


def _in_words(now: forms.Form | forms.ModelForm[Any], boxes: Boxes) -> str:
    """Return the texts of boxes as a person reads them; nothing if they are empty."""
    words = [_word(now.fields.get(name), texts) for name, texts in boxes.items()]
    return " ".join(word for word in words if word)


def _word(field: forms.Field | None, texts: Sequence[str]) -> str:
    if field is not None and isinstance(field.widget, forms.CheckboxInput):
        return _("yes") if texts else _("no")
    called = {str(key): str(label) for key, label in getattr(field and field.widget, "choices", ())}
    return ", ".join(called.get(text, text) for text in texts)
