from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class SchoolConfig(AppConfig):
    name = "school"
    verbose_name = _("School")

    def ready(self) -> None:
        from school import checks  # noqa: F401
