"""What was wrong with a casting, as somebody saw it."""

from __future__ import annotations

from typing import Self

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from casting.calc.values import defect
from casting.models.day import Wax
from casting.models.photo import Photo
from school.models import Person


class DefectQuerySet(models.QuerySet["PieceDefect"]):
    """Queries for defects; one that was taken back stays in the table."""

    def of(self, person: Person) -> Self:
        """Return the defects of the person's school."""
        return self.filter(wax__day__course__school_id=person.school_id)

    def standing(self) -> Self:
        """Return those that were not taken back, the newest first, with the rows that a page shows of them."""
        rows = self.filter(taken_back_at__isnull=True).annotate(photo_key=models.F("photo__sent_as"))
        return rows.select_related("wax__student", "wax__alloy", "by", "taken_back_by").order_by("-pk")


class PieceDefect(models.Model):
    """One defect of one piece: its kind, where on the piece, who saw it and when. Taking it back leaves the row."""

    class Kind(models.TextChoices):
        """What is wrong."""

        POROSITY = defect.Defect.POROSITY.value, _("small round holes: gas")
        SHRINKAGE = defect.Defect.SHRINKAGE.value, _("jagged holes where it is thick: shrinkage")
        INCOMPLETE = defect.Defect.INCOMPLETE.value, _("did not fill")
        FLASHING = defect.Defect.FLASHING.value, _("fins, or metal where none belongs")
        INCLUSION = defect.Defect.INCLUSION.value, _("bits of investment or dark spots in it")
        CRACKS = defect.Defect.CRACKS.value, _("cracked, or brittle")
        ROUGH = defect.Defect.ROUGH.value, _("rough skin, little balls or streaks")

    class Where(models.TextChoices):
        """Where on the piece."""

        ALL_OVER = "all_over", _("all over")
        AT_SPRUE = "at_sprue", _("at the sprue's foot")
        THICK = "thick", _("in the thickest part")
        THIN = "thin", _("in the thinnest part")
        FAR = "far", _("farthest from the sprue")
        INSIDE = "inside", _("on the inside")

    wax = models.ForeignKey(Wax, on_delete=models.CASCADE, related_name="defects")
    kind = models.CharField(_("what is wrong"), max_length=10, choices=Kind.choices)
    where = models.CharField(_("where on the piece"), max_length=10, choices=Where.choices)
    note = models.CharField(_("note"), max_length=200, blank=True)
    noted_at = models.DateTimeField(_("noted"), auto_now_add=True)
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    taken_back_at = models.DateTimeField(_("taken back"), null=True, blank=True)
    taken_back_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")

    objects = DefectQuerySet.as_manager()
    photo_key: str | None  # the digest of its picture, only of `standing` rows; no picture is read

    class Meta:
        verbose_name = _("defect of a piece")
        verbose_name_plural = _("defects of pieces")
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(
                fields=("wax", "kind", "where"), condition=Q(taken_back_at__isnull=True), name="defect_noted_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.pk}"


class DefectPhoto(Photo):
    """A picture of a defect; it goes with its student's photos."""

    defect = models.OneToOneField(PieceDefect, on_delete=models.CASCADE, related_name="photo")

    class Meta:
        verbose_name = _("picture of a defect")
        verbose_name_plural = _("pictures of defects")

    def __str__(self) -> str:
        return f"picture of {self.defect_id}"
