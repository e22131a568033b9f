"""The school, as Django sees it."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class SchoolConfig(AppConfig):
    """The schools and their people."""

    name = "school"
    verbose_name = _("School")

    def ready(self) -> None:
        """Register the system checks, and look after the database's log."""
        from school import checks, write_ahead  # noqa: F401

        write_ahead.listen()
