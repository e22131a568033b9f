"""Django app configuration."""

from __future__ import annotations

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class CastingConfig(AppConfig):
    """The casting days of a school."""

    name = "casting"
    verbose_name = _("Casting days")
    default_auto_field = "django.db.models.BigAutoField"
