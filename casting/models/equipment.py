"""Flasks, kilns, firings and the house rules. Figures are in mm, degrees C and minutes."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.utils.translation import gettext_lazy as _

from casting.models.shelf import ShelfRow, one_key_per_school


class FlaskSize(ShelfRow):
    """One size of flask, its sprue base, and how many the school has."""

    figures = (
        "diameter_mm",
        "height_mm",
        "count",
        "outside_mm",
        "base_mm",
        "hub_mm",
        "rim_mm",
        "cover_mm",
        "waxes_max",
        "mount",
        "trunk_mm",
        "trunk_gap_mm",
    )

    diameter_mm = models.FloatField(_("inside diameter, mm"))
    height_mm = models.FloatField(_("height, mm"))
    count = models.PositiveSmallIntegerField(_("how many there are"))
    outside_mm = models.FloatField(_("outside diameter, mm"), null=True, blank=True)
    base_mm = models.FloatField(_("height of the sprue base's foot, mm"), null=True, blank=True)
    hub_mm = models.FloatField(_("width of the cone, mm"), null=True, blank=True)
    rim_mm = models.FloatField(_("free rim, mm"), null=True, blank=True)
    cover_mm = models.FloatField(_("investment over the waxes, mm"), null=True, blank=True)
    waxes_max = models.PositiveSmallIntegerField(_("most waxes"), null=True, blank=True)
    mount = models.CharField(
        _("mount"), max_length=10, default="cone", choices=[("cone", _("cone")), ("tree", _("tree"))]
    )
    trunk_mm = models.FloatField(_("thickness of a tree's trunk, mm"), null=True, blank=True)
    trunk_gap_mm = models.FloatField(_("least gap of a wax to the trunk, mm"), null=True, blank=True)

    class Meta(ShelfRow.Meta):
        verbose_name = _("flask size")
        verbose_name_plural = _("flask sizes")
        constraints = one_key_per_school("flask_size")


class Kiln(ShelfRow):
    """A burnout kiln: its chamber, how fast it heats and cools."""

    figures = ("width_mm", "depth_mm", "height_mm", "max_ramp_c_per_h", "cool_c_per_h", "wall_gap_mm")

    width_mm = models.FloatField(_("chamber width, mm"))
    depth_mm = models.FloatField(_("chamber depth, mm"))
    height_mm = models.FloatField(_("chamber height, mm"))
    max_ramp_c_per_h = models.FloatField(_("fastest ramp, C an hour"))
    cool_c_per_h = models.FloatField(_("cools by, C an hour"))
    wall_gap_mm = models.FloatField(_("free of the walls, mm"), null=True, blank=True)

    class Meta(ShelfRow.Meta):
        verbose_name = _("kiln")
        verbose_name_plural = _("kilns")
        constraints = one_key_per_school("kiln")


class Firing(ShelfRow):
    """A burnout up to its top hold, and the flasks that it suits."""

    figures = ("max_diameter_mm", "max_height_mm", "kinds", "segments")

    max_diameter_mm = models.FloatField(_("widest flask, mm"))
    max_height_mm = models.FloatField(_("highest flask, mm"))
    kinds = models.JSONField(_("kinds of pattern"))
    segments = models.JSONField(_("ramps and holds"))

    class Meta(ShelfRow.Meta):
        verbose_name = _("firing")
        verbose_name_plural = _("firings")
        constraints = one_key_per_school("firing")


class HouseRules(ShelfRow):
    """The house rules, key by key as in a day file; a key not set is the shelf's."""

    rules = models.JSONField(_("rules"), default=dict)

    class Meta(ShelfRow.Meta):
        verbose_name = _("house rules")
        verbose_name_plural = _("house rules")
        constraints = one_key_per_school("house_rules")

    def to_day(self) -> dict[str, Any]:
        """The rules that this school has set."""
        return dict(self.rules)
