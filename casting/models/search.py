"""Model of background searches: at most one of each kind for a day."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from casting.models.day import CastingDay
from casting.models.plan import Plan
from school.models import Person


class Search(models.Model):
    """A search in a child process, which writes into a folder named by `token`."""

    class Kind(models.TextChoices):
        """The kinds of search."""

        PLAN = "plan", _("a plan")
        SAVING = "saving", _("what would save a flask")

    class State(models.TextChoices):
        """The states of a search."""

        SEARCHING = "searching", _("searching")
        KEPT = "kept", _("done, and kept")
        FAILED = "failed", _("ended without an answer")
        BROKEN = "broken", _("broken off")

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="searches")
    kind = models.CharField(_("what is sought"), max_length=10, choices=Kind.choices)
    token = models.CharField(_("its folder"), max_length=32)
    pid = models.PositiveIntegerField(_("process"))
    state = models.CharField(_("state"), max_length=10, choices=State.choices, default=State.SEARCHING)
    sentence = models.TextField(_("why it ended without an answer"), blank=True)
    found = models.TextField(_("what it found"), blank=True)
    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, null=True, related_name="+")
    begun_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    begun_at = models.DateTimeField(_("begun"), auto_now_add=True)

    class Meta:
        verbose_name = _("search")
        verbose_name_plural = _("searches")
        constraints = (models.UniqueConstraint(fields=("day", "kind"), name="search_of_a_kind_once_per_day"),)

    def __str__(self) -> str:
        return f"search for {self.get_kind_display()}"

    @property
    def goes_on(self) -> bool:
        """Tell whether it had not ended when it was last looked at."""
        return self.state == self.State.SEARCHING
