"""What every photo is: drawn anew, with a small one, in a row of its own beside what it shows."""

from __future__ import annotations

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _


class Photo(models.Model):
    """A photo as it was drawn anew, and a small one; `sent_as` is a digest of the file that was sent.

    What it shows is read often, and a photo is large: it has a row of its own.
    """

    sent_as = models.CharField(_("digest of what was sent"), max_length=32)
    jpeg = models.BinaryField(_("photo"))
    small = models.BinaryField(_("small photo"))
    at = models.DateTimeField(_("when"), default=timezone.now)

    class Meta:
        abstract = True
