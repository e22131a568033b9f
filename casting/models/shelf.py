"""What every row of a school's shelf has in common."""

from __future__ import annotations

from typing import Any, ClassVar, Self

from django.db import models
from django.utils.translation import gettext_lazy as _

from school.models import Person, School


class ShelfQuerySet(models.QuerySet[Any]):
    """Rows of one school's shelf."""

    def of(self, person: Person) -> Self:
        """Those of the person's own school."""
        return self.filter(school_id=person.school_id)

    def at(self, school: School) -> Self:
        """Those of that school which it works with, in the order it keeps them."""
        return self.filter(school=school, offered=True)


class ShelfRow(models.Model):
    """One thing on the shelf: where each of its figures comes from is kept beside them.

    `figures` names the fields that go into a day file as they stand; `sources` holds, for
    each of them, where it was read and what that is worth.
    """

    figures: ClassVar[tuple[str, ...]] = ()

    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="+")
    key = models.SlugField(_("key"), max_length=40)
    name = models.CharField(_("name"), max_length=80)
    offered = models.BooleanField(_("worked with"), default=True)
    place = models.PositiveSmallIntegerField(_("place in the list"), default=0)
    sources = models.JSONField(_("sources"), default=dict, blank=True)

    objects = ShelfQuerySet.as_manager()

    class Meta:
        abstract = True
        ordering = ("place", "key")

    def __str__(self) -> str:
        return self.name

    def to_day(self) -> dict[str, Any]:
        """The row as it stands in a day file; what is not recorded is left out."""
        return {"key": self.key} | {
            figure: getattr(self, figure) for figure in self.figures if getattr(self, figure) is not None
        }


def one_key_per_school(name: str) -> list[models.BaseConstraint]:
    """The rule that no two rows of a school share a key, under a name of its own."""
    return [models.UniqueConstraint(fields=("school", "key"), name=f"{name}_key_once_per_school")]
