"""Models of metals, pattern materials and powders. Figures are in g, ml, mm, degrees C and minutes."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.utils.translation import gettext_lazy as _

from casting.calc.values import day_input, enums
from casting.calc.values.marked_text import in_a_sentence
from casting.dayfile.materials import IN_THE_KILN, read_alloy, read_investment, read_pattern
from casting.models.shelf import ShelfRow, columns_of, not_negative, one_key_per_school, over_zero


class Alloy(ShelfRow):
    """A metal that the school casts. A null share in `composition_pct` is not recorded."""

    figures = columns_of(day_input.Alloy)
    reader = read_alloy

    composition_pct = models.JSONField(
        _("parts by weight, in %"),
        null=True,
        blank=True,
        help_text=_('By the signs of the elements: {"Ag": 92.5, "Cu": 7.5}. Write null for a share that is not known.'),
    )
    specific_gravity = models.FloatField(_("specific gravity"))
    solidus_c = models.FloatField(_("solidus, C"))
    liquidus_c = models.FloatField(_("liquidus, C"))
    pour_c = models.FloatField(_("pour temperature, C"))
    flask_c = models.JSONField(
        _("flask temperature by section, C"),
        help_text=_('Low and high end: {"very_thin": [621, 677], "thin": [566, 621], "medium": ..., "heavy": ...}.'),
    )
    quench_min_by_diameter = models.JSONField(
        _("minutes to quench by flask diameter"),
        help_text=_("Rows of diameter in mm and minutes: [[64, 10], [90, 15]]."),
    )
    quench_by_min = models.FloatField(_("quench before, min"), null=True, blank=True)
    price_per_g = models.FloatField(_("price of a gram"), null=True, blank=True)

    class Meta(ShelfRow.Meta):
        verbose_name = _("metal")
        verbose_name_plural = _("metals")
        constraints = (
            *one_key_per_school("alloy"),
            *over_zero("alloy", "specific_gravity", "solidus_c", "liquidus_c", "pour_c", "quench_by_min"),
            *not_negative("alloy", "price_per_g"),
        )

    @property
    def called(self) -> str:
        """What the middle of a sentence calls it."""
        return in_a_sentence(self.name)


class PatternMaterial(ShelfRow):
    """A material of waxes: carving wax, injection wax, printed resin. A null property is not recorded."""

    class Kind(models.TextChoices):
        """The kinds of pattern in the burnout."""

        WAX = enums.Kind.WAX.value, _("wax")
        RESIN = enums.Kind.RESIN.value, _("printed resin")

    figures = columns_of(day_input.Pattern)
    reader = read_pattern

    kind = models.CharField(_("kind"), max_length=10, choices=Kind.choices)
    specific_gravity = models.FloatField(_("specific gravity"))
    poison_gas = models.BooleanField(
        _("gives off acid or poison gas as it burns"),
        null=True,
        blank=True,
        help_text=_("PVC, polyurethane, ABS, nylon and rubber do. See the maker's data sheet."),
    )
    heavy_smoke = models.BooleanField(
        _("makes heavy smoke"), null=True, blank=True, help_text=_("More than wax or castable resin: PLA, wood, foam.")
    )
    ash = models.BooleanField(_("leaves ash"), null=True, blank=True)
    unknown_plastic = models.BooleanField(
        _("is a plastic of unknown make"), null=True, blank=True, help_text=_("Its maker or recipe is not known.")
    )

    class Meta(ShelfRow.Meta):
        verbose_name = _("pattern material")
        verbose_name_plural = _("pattern materials")
        constraints = (*one_key_per_school("pattern"), *over_zero("pattern", "specific_gravity"))

    def to_day(self) -> dict[str, Any]:
        """Return the row as an object of a day file; a property that is not recorded stands in it as null."""
        return dict.fromkeys(IN_THE_KILN) | super().to_day()


class Investment(ShelfRow):
    """An investment powder with its own water. A plan takes the first one that is worked with."""

    class Kind(models.TextChoices):
        """The kinds of powder."""

        GYPSUM = enums.Powder.GYPSUM.value, _("gypsum (plaster)")
        PHOSPHATE = enums.Powder.PHOSPHATE.value, _("phosphate")
        UNKNOWN = enums.Powder.UNKNOWN.value, _("not recorded")

    figures = columns_of(day_input.Investment)
    reader = read_investment

    kind = models.CharField(_("kind"), max_length=10, choices=Kind.choices, default=Kind.UNKNOWN)
    water_per_100 = models.FloatField(_("water to 100 powder, by weight"))
    specific_gravity = models.FloatField(_("specific gravity of the powder"))
    allowance_pct = models.FloatField(_("allowance, %"))
    working_min = models.FloatField(_("working time, min"))
    set_min = models.FloatField(_("bench set, min"))
    max_c = models.FloatField(_("never hotter than, C"))
    price_per_kg = models.FloatField(_("price of a kilogram"), null=True, blank=True)
    water_c = models.JSONField(
        _("water of a mix, C"),
        null=True,
        blank=True,
        help_text=_("The coolest and the warmest: [22, 23]. Empty is not recorded."),
    )

    class Meta(ShelfRow.Meta):
        verbose_name = _("investment")
        verbose_name_plural = _("investments")
        constraints = (
            *one_key_per_school("investment"),
            *over_zero("investment", "water_per_100", "specific_gravity", "working_min", "max_c"),
            *not_negative("investment", "allowance_pct", "set_min", "price_per_kg"),
        )
