"""Model of the steps on a day's board: each plan by which hand it came about, so that any step can be undone."""

from __future__ import annotations

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from casting.models.day import CastingDay
from casting.models.plan import Plan
from school.models import Person


class BoardStep(models.Model):
    """A step on the board, never changed: what was done, by whom, and the plan that shows the board after it.

    `figures` are the tags, labels and lengths that its sentence names. `kept` is what the teacher keeps after it:
    flasks as they are, waxes on their spots, waxes left out. `before` is the step on whose board it was done. An undo
    or redo `shows` the step whose board it brings back.
    """

    class Did(models.TextChoices):
        """What was done."""

        PLANNED = "planned", _("planned by the computer")
        CARRY = "carry", _("carried")
        SPOT = "spot", _("put on a spot")
        TURN = "turn", _("turned")
        NUDGE = "nudge", _("nudged")
        OUT = "out", _("left out")
        BACK = "back", _("taken back in")
        SWAP = "swap", _("swapped")
        SPLIT = "split", _("split")
        SIZE = "size", _("given another size")
        JOIN = "join", _("joined")
        KEEP = "keep", _("kept")
        LET_GO = "let_go", _("let go")
        FILL = "fill", _("filled up")
        UNDO = "undo", _("undone")
        REDO = "redo", _("done again")

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="board_steps")
    plan = models.OneToOneField(Plan, on_delete=models.CASCADE, related_name="board_step")
    did = models.CharField(_("what was done"), max_length=10, choices=Did.choices)
    figures = models.JSONField(_("its figures"), default=dict, blank=True)
    kept = models.JSONField(_("what is kept"), default=dict, blank=True)
    before = models.ForeignKey("self", on_delete=models.CASCADE, null=True, related_name="+")
    shows = models.ForeignKey("self", on_delete=models.CASCADE, null=True, related_name="+")
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField(_("when"), default=timezone.now)

    class Meta:
        verbose_name = _("step on the board")
        verbose_name_plural = _("steps on the board")
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.did} {self.plan_id}"
