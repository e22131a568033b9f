"""Django app configuration."""

from __future__ import annotations

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class CastingConfig(AppConfig):
    """The casting days of a school."""

    name = "casting"
    verbose_name = _("Casting days")
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Listen to what happens in a school."""
        from casting.services import school_events
        from casting.services.account import leaving

        school_events.listen()
        leaving.listen()
