"""Metals, pattern materials and powders. Figures are in g, ml, mm, degrees C and minutes."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from casting.calc.values.enums import Kind
from casting.models.shelf import ShelfRow, one_key_per_school

KINDS = [(Kind.WAX.value, _("wax")), (Kind.RESIN.value, _("printed resin"))]


class Alloy(ShelfRow):
    """A metal that the school casts. A part that is null in `composition_pct` is not recorded."""

    figures = (
        "name",
        "composition_pct",
        "specific_gravity",
        "solidus_c",
        "liquidus_c",
        "pour_c",
        "flask_c",
        "quench_min_by_diameter",
        "quench_by_min",
        "price_per_g",
    )

    composition_pct = models.JSONField(_("parts by weight, in %"), default=dict)
    specific_gravity = models.FloatField(_("specific gravity"))
    solidus_c = models.FloatField(_("solidus, C"))
    liquidus_c = models.FloatField(_("liquidus, C"))
    pour_c = models.FloatField(_("pour temperature, C"))
    flask_c = models.JSONField(_("flask temperature by section, C"))
    quench_min_by_diameter = models.JSONField(_("minutes to quench by flask diameter"))
    quench_by_min = models.FloatField(_("quench before, min"), null=True, blank=True)
    price_per_g = models.FloatField(_("price of a gram"), null=True, blank=True)

    class Meta(ShelfRow.Meta):
        verbose_name = _("metal")
        verbose_name_plural = _("metals")
        constraints = one_key_per_school("alloy")


class PatternMaterial(ShelfRow):
    """What a wax can be made of."""

    figures = ("kind", "specific_gravity")

    kind = models.CharField(_("kind"), max_length=10, choices=KINDS)
    specific_gravity = models.FloatField(_("specific gravity"))

    class Meta(ShelfRow.Meta):
        verbose_name = _("pattern material")
        verbose_name_plural = _("pattern materials")
        constraints = one_key_per_school("pattern")


class Investment(ShelfRow):
    """The powder, with its own water. The first one worked with is the day's."""

    figures = (
        "kind",
        "water_per_100",
        "specific_gravity",
        "allowance_pct",
        "working_min",
        "set_min",
        "max_c",
        "price_per_kg",
    )

    kind = models.CharField(_("kind"), max_length=20, default="gypsum")
    water_per_100 = models.FloatField(_("water to 100 powder, by weight"))
    specific_gravity = models.FloatField(_("specific gravity of the powder"))
    allowance_pct = models.FloatField(_("allowance, %"))
    working_min = models.FloatField(_("working time, min"))
    set_min = models.FloatField(_("bench set, min"))
    max_c = models.FloatField(_("never hotter than, C"))
    price_per_kg = models.FloatField(_("price of a kilogram"), null=True, blank=True)

    class Meta(ShelfRow.Meta):
        verbose_name = _("investment")
        verbose_name_plural = _("investments")
        constraints = one_key_per_school("investment")
