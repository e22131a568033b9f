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
        """What was done; `presenters/board_history` has the words."""

        PLANNED = "planned"
        CARRY = "carry"
        SPOT = "spot"
        TURN = "turn"
        NUDGE = "nudge"
        OUT = "out"
        BACK = "back"
        SWAP = "swap"
        SPLIT = "split"
        SIZE = "size"
        JOIN = "join"
        KEEP = "keep"
        LET_GO = "let_go"
        FILL = "fill"
        ANEW = "anew"
        UNDO = "undo"
        REDO = "redo"
        BROUGHT = "brought"
        PLACE = "place"
        WITHDRAW = "withdraw"
        BROKE = "broke"
        LEAK = "leak"
        SPILL = "spill"

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
