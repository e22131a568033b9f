"""Models of flask sizes, kilns, firings and house rules. Figures are in mm, degrees C and minutes."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.utils.translation import gettext_lazy as _

from casting.calc.values import day_input
from casting.calc.values.errors import Refused
from casting.dayfile.equipment import RULES, read_firing, read_kiln, read_rules, read_size, refuse_too_tall
from casting.dayfile.shelf_file import shelf
from casting.dayfile.sources_file import origins
from casting.models.materials import Investment
from casting.models.shelf import ShelfRow, columns_of, not_negative, one_key_per_school, over_zero, told_from_memory


class FlaskSize(ShelfRow):
    """One size of flask, its sprue base, and how many the school has."""

    class Mount(models.TextChoices):
        """The kinds of sprue base."""

        CONE = "cone", _("cone")
        TREE = "tree", _("tree")

    class Wall(models.TextChoices):
        """The kinds of wall: with holes, vacuum draws through it too, and a sleeve or tape holds the investment in."""

        SOLID = "solid", _("solid")
        PERFORATED = "perforated", _("perforated")

    figures = columns_of(day_input.FlaskSize)
    reader = read_size

    diameter_mm = models.FloatField(_("inside diameter, mm"))
    height_mm = models.FloatField(_("height, mm"))
    count = models.PositiveSmallIntegerField(_("how many there are"))
    outside_mm = models.FloatField(_("outside diameter, mm"), null=True, blank=True)
    base_mm = models.FloatField(_("height of the sprue base's foot, mm"), null=True, blank=True)
    hub_mm = models.FloatField(_("width of the cone, mm"), null=True, blank=True)
    rim_mm = models.FloatField(_("free rim, mm"), null=True, blank=True)
    cover_mm = models.FloatField(_("investment over the waxes, mm"), null=True, blank=True)
    waxes_max = models.PositiveSmallIntegerField(_("most waxes"), null=True, blank=True)
    mount = models.CharField(_("mount"), max_length=10, choices=Mount.choices, default=Mount.CONE)
    trunk_mm = models.FloatField(_("thickness of a tree's trunk, mm"), null=True, blank=True)
    trunk_gap_mm = models.FloatField(_("least gap of a wax to the trunk, mm"), null=True, blank=True)
    wall = models.CharField(_("wall"), max_length=10, choices=Wall.choices, default=Wall.SOLID)
    sleeve_mm = models.FloatField(_("inside diameter of the sleeve, mm"), null=True, blank=True)
    sleeve_height_mm = models.FloatField(_("height of the sleeve, mm"), null=True, blank=True)
    fill_mm = models.FloatField(_("filled to, mm"), null=True, blank=True)

    def refusals(self) -> list[Refused]:
        """Return what a day file's reader refuses, and of a flask to be worked with that it fits no kiln."""
        found = super().refusals()
        if found or not self.offered or not self.school_id:
            return found
        rules = HouseRules.objects.at(self.school).first() or HouseRules()
        try:
            kilns = [kiln.read() for kiln in Kiln.objects.at(self.school)]
            house = rules.read()
        except Refused:  # those have pages of their own, which say it
            return []
        try:
            refuse_too_tall(read_size(self._given(), ""), kilns, house)
        except Refused as refused:
            return [refused]
        return []

    class Meta(ShelfRow.Meta):
        verbose_name = _("flask size")
        verbose_name_plural = _("flask sizes")
        constraints = (
            *one_key_per_school("flask_size"),
            *over_zero("flask_size", "diameter_mm", "height_mm", "outside_mm", "hub_mm", "waxes_max"),
            *over_zero("flask_size", "sleeve_mm", "sleeve_height_mm", "fill_mm"),
            *not_negative("flask_size", "base_mm", "rim_mm", "cover_mm"),
        )


class Kiln(ShelfRow):
    """A burnout kiln: its chamber, how fast it heats and cools."""

    figures = columns_of(day_input.Kiln)
    reader = read_kiln

    width_mm = models.FloatField(_("chamber width, mm"))
    depth_mm = models.FloatField(_("chamber depth, mm"))
    height_mm = models.FloatField(_("chamber height, mm"))
    max_ramp_c_per_h = models.FloatField(_("fastest ramp, C an hour"))
    cool_c_per_h = models.FloatField(_("cools by, C an hour"))
    wall_gap_mm = models.FloatField(_("free of the walls, mm"), null=True, blank=True)
    max_c = models.FloatField(
        _("the hottest it gets, C"),
        null=True,
        blank=True,
        help_text=_("On its plate or in its manual. Empty is not recorded, and a plan then asks."),
    )
    delayed_start = models.BooleanField(
        _("its controller can start later by itself"),
        null=True,
        blank=True,
        help_text=_("A delayed start. Unknown is not no: a plan then asks."),
    )
    runs_program = models.BooleanField(
        _("its controller goes through ramps and holds by itself"),
        null=True,
        blank=True,
        help_text=_("No if somebody turns it up and down by hand. One with a delayed start does, unless you say no."),
    )

    class Meta(ShelfRow.Meta):
        verbose_name = _("kiln")
        verbose_name_plural = _("kilns")
        constraints = (
            *one_key_per_school("kiln"),
            *over_zero("kiln", "width_mm", "depth_mm", "height_mm", "max_ramp_c_per_h", "cool_c_per_h", "max_c"),
            *not_negative("kiln", "wall_gap_mm"),
        )


class Firing(ShelfRow):
    """A burnout up to its top hold, and the largest flask and the kinds of pattern that it suits."""

    figures = columns_of(day_input.Firing)
    reader = read_firing

    max_diameter_mm = models.FloatField(_("widest flask, mm"))
    max_height_mm = models.FloatField(_("highest flask, mm"))
    kinds = models.JSONField(
        _("kinds of pattern"),
        help_text=_('["wax"], ["resin"], ["wax", "resin"], or ["stones"] alone for stones left in wax.'),
    )
    segments = models.JSONField(
        _("ramps and holds"),
        help_text=_('In order: [{"ramp_c_per_h": 167, "to_c": 149, "hold_min": 120}, ...].'),
    )

    def read(self) -> day_input.Firing:
        """Return the firing as the day file's reader reads it, for the powder that the school works with."""
        powder = Investment.objects.at(self.school).first() if self.school_id else None
        return read_firing(self._given(), "", powder.max_c if powder else None)

    class Meta(ShelfRow.Meta):
        verbose_name = _("firing")
        verbose_name_plural = _("firings")
        constraints = (
            *one_key_per_school("firing"),
            *over_zero("firing", "max_diameter_mm", "max_height_mm"),
        )


class _Rule:
    """One house rule as an attribute of its row: what the school goes by. Only what differs from the usual is kept."""

    def __init__(self, key: str) -> None:
        self.key = key

    def __get__(self, row: HouseRules | None, owner: type) -> Any:
        return self if row is None else row.rules.get(self.key, usual_rule(self.key))

    def __set__(self, row: HouseRules, value: Any) -> None:
        others = {key: one for key, one in row.rules.items() if key != self.key}
        row.rules = others if value is None or value == usual_rule(self.key) else others | {self.key: value}


def usual_rule(key: str) -> Any:
    """Return the usual value of a house rule, as the shelf's file has it; None or no rows if it has none."""
    return shelf().one("rules").get(key, [] if key == "crucibles_ml" else None)


class HouseRules(ShelfRow):
    """The house rules, key by key as in a day file; a key that is not set has the default of `fixtures/shelf.json`.

    Each rule is an attribute too, which is the usual one where the school has set none.
    """

    figures = tuple(key for key in RULES if key != "from_memory")

    rules = models.JSONField(
        _("rules"), default=dict, blank=True, help_text=_('Only what differs from the usual rules: {"hands": 2}.')
    )

    class Meta(ShelfRow.Meta):
        verbose_name = _("house rules")
        verbose_name_plural = _("house rules")
        constraints = one_key_per_school("house_rules")

    def column_of(self, place: str) -> tuple[str, str]:
        """Return the only column, and the rule that a place names."""
        return "rules", "" if place == "file" else place

    def read(self) -> day_input.Rules:
        """Return the rules as the day file's reader reads them."""
        return read_rules(self.rules, "", shelf().one("rules"))

    @property
    def told(self) -> dict[str, Any]:
        """The sources of all rules: the school's own, and the shelf's for a rule that it has not set."""
        of_shelf = {name[len("rules.") :]: one for name, one in origins().items() if name.startswith("rules.")}
        unset = {name: one for name, one in of_shelf.items() if name.partition(".")[0] not in self.rules}
        own: dict[str, Any] = self.sources
        return unset | own

    def to_day(self) -> dict[str, Any]:
        """Return all rules: those that the school has set, and the usual ones."""
        rules: dict[str, Any] = shelf().one("rules") | self.rules
        return rules | told_from_memory(self.told, RULES)


for _key in HouseRules.figures:
    setattr(HouseRules, _key, _Rule(_key))
