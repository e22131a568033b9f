"""The form on which a defect of a piece is noted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from casting.models import PieceDefect
from casting.models.day import Wax


class DefectForm(forms.Form):
    """Which piece, what is wrong with it, where, and a note."""

    piece = forms.TypedChoiceField(
        label=_("Piece"),
        error_messages={
            "required": _("Choose the piece."),
            "invalid_choice": _("No such piece on this day. Choose one of the list."),
        },
    )
    kind = forms.ChoiceField(
        label=_("What is wrong"),
        widget=forms.RadioSelect,
        choices=PieceDefect.Kind.choices,
        error_messages={"required": _("Choose what is wrong."), "invalid_choice": _("Choose one of the list.")},
    )
    where = forms.ChoiceField(
        label=_("Where"),
        choices=PieceDefect.Where.choices,
        error_messages={"required": _("Choose where."), "invalid_choice": _("Choose one of the list.")},
    )
    note = forms.CharField(label=_("Note"), required=False, max_length=200)

    def __init__(self, *args: Any, pieces: Sequence[Wax], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field, by_tag = self.fields["piece"], {wax.tag: wax for wax in pieces}
        if isinstance(field, forms.TypedChoiceField):
            told = [(wax.tag, f"{wax.tag}: {wax.student.with_spelling}, {wax.what}") for wax in pieces]
            field.choices, field.coerce = [("", _("choose")), *told], by_tag.__getitem__
