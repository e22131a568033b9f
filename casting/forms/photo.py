"""The box of a photo. What the file is, the service says."""

from __future__ import annotations

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from casting.worker.photo import MOST_BYTES

KINDS = "image/jpeg,image/png,image/webp"
"""What a phone is asked for: one that keeps its photos in another kind then gives one of these."""


class PhotoForm(forms.Form):
    """A photo; none may be sent."""

    photo = forms.FileField(
        label=_("Photo"),
        help_text=_("So that nobody mistakes it. Where and when it was taken is wiped off."),
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": KINDS, "data-photo": True}),
    )

    def sent(self) -> bytes | None:
        """The bytes of the photo; None if none was sent. What is too long is cut behind the most."""
        file: UploadedFile[bytes] | None = self.cleaned_data.get("photo") if self.is_valid() else None
        return None if file is None else file.read(MOST_BYTES + 1)
