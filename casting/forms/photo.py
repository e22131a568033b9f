"""The box of a photo. What the file is, the service says."""

from __future__ import annotations

from datetime import datetime, timedelta

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils import timezone

from casting.worker.photo import MOST_BYTES


class PhotoForm(forms.Form):
    """A photo; none may be sent."""

    photo = forms.FileField(required=False, allow_empty_file=True)
    age_ms = forms.IntegerField(required=False, min_value=0, max_value=10**12)

    def sent(self) -> bytes | None:
        """The bytes of the photo; None if none was sent. What is too long is cut behind the most."""
        self.is_valid()
        file: UploadedFile[bytes] | None = self.cleaned_data.get("photo")
        return None if file is None else file.read(MOST_BYTES + 1)

    def chosen_at(self) -> datetime:
        """When it was chosen: before now, if the phone that kept it says for how long."""
        self.is_valid()
        return timezone.now() - timedelta(milliseconds=self.cleaned_data.get("age_ms") or 0)
