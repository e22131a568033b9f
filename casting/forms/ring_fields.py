"""A ring by its size and band, from which width, depth and height follow."""

from __future__ import annotations

import re
import unicodedata
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.calc.quantities.ring import LEAST_MOST, NotARingSize, RingScale, RingWax, inside_mm, ring_wax
from casting.forms.wax_fields import LengthField
from casting.units import Length, NotUnderstood, in_decimals, read_number

SIDES = ("width_mm", "depth_mm", "height_mm")
PARTS = ("band_mm", "wall_mm", "sprue_long_mm")
LETTER = re.compile(r"([A-Z])( ?(?:1/2|\.5|,5|½))?")
SWISS_LEAST, SWISS_MOST, SWISS_LESS = 1, 36, 40
"""The Swiss scale is the circumference less 40, and is often taken for that of ISO."""


class RingFields(forms.Form):
    """The boxes of a ring; `ring` is what was made of them, if they were filled in."""

    ring: RingWax | None = None
    """Its sides are taken to a tenth of a millimetre, as calipers read them."""
    ring_scale = forms.ChoiceField(
        label=_("Ring size"),
        choices=[
            (RingScale.US.value, _("US")),
            (RingScale.UK.value, _("UK letter")),
            (RingScale.ISO.value, _("ISO, mm round")),
            (RingScale.INCHES.value, _("inches round")),
        ],
        required=False,
    )
    ring_size = forms.CharField(
        label=_("Its size"),
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "maxlength": "20", "size": "5"}),
    )
    band_mm = LengthField(label=_("Band, mm"), inches=(_("Band, in"), ""), required=False)
    wall_mm = LengthField(label=_("Wall, mm"), inches=(_("Wall, in"), ""), required=False)
    head_mm = LengthField(label=_("Head over the band, mm"), inches=(_("Head over the band, in"), ""), required=False)
    sprue_long_mm = LengthField(label=_("Sprue below, mm"), inches=(_("Sprue below, in"), ""), required=False)

    @property
    def ring_inside_mm(self) -> Decimal | None:
        """What to carve the inside to, as calipers read it."""
        return Decimal(repr(self.ring.carved_mm)).quantize(Decimal("0.1"), ROUND_HALF_UP) if self.ring else None

    def take_ring(self) -> None:
        """Take the outer measures of a ring where its size is given and they are not."""
        typed = self.cleaned_data.get("ring_size", "").strip()
        if not typed:
            return
        if any(self.data.get(name, "").strip() for name in SIDES):
            self.add_error("ring_size", gettext("You gave a ring size and the sides as well. Clear one of the two."))
            return
        for name in SIDES:
            self.errors.pop(name, None)
        for name in PARTS:
            if self.cleaned_data.get(name) is None and name not in self.errors:
                self.add_error(name, gettext("A ring by its size needs this too. Measure it."))
        inside = self._inside(typed)
        if inside is None or any(name in self.errors for name in (*PARTS, "head_mm")):
            return
        head = self.cleaned_data.get("head_mm") or Decimal(0)
        band, wall, sprue = (float(self.cleaned_data[name]) for name in PARTS)
        self.ring = ring_wax(inside, band, wall, float(head), sprue)
        for name in SIDES:
            self.cleaned_data[name] = Decimal(repr(getattr(self.ring, name))).quantize(Decimal("0.1"), ROUND_HALF_UP)

    def _inside(self, typed: str) -> float | None:
        scale = RingScale(self.cleaned_data.get("ring_scale") or RingScale.US)
        try:
            return inside_mm(float(read_size(typed, scale)), scale)
        except NotUnderstood as wrong:
            self.add_error("ring_size", wrong.sentence)
        except NotARingSize as wrong:
            self.add_error("ring_size", _no_size(typed, wrong))
        return None


def read_size(typed: str, scale: RingScale) -> Decimal:
    """Return a ring size as a number on its scale: a UK letter counts from A, which is 1, and a half is 0.5.

    Raises `NotUnderstood` with a sentence if it is no size at all.
    """
    if scale is not RingScale.UK:
        return read_number(in_decimals(typed), Length.INCH if scale is RingScale.INCHES else Length.MILLIMETRE)
    entered = unicodedata.normalize("NFKC", typed).replace("\N{FRACTION SLASH}", "/").strip().upper()
    found = LETTER.fullmatch(entered)
    if found is None:
        sentence = gettext("“%(entered)s” is no UK size. Write a letter, for a half with 1/2 behind it: N 1/2.")
        raise NotUnderstood(sentence % {"entered": typed}, typed)
    return Decimal(ord(found[1]) - ord("A") + 1) + (Decimal("0.5") if found[2] else 0)


def _no_size(typed: str, wrong: NotARingSize) -> str:
    """Why a number is no size, and what it may be instead."""
    least, most = LEAST_MOST[wrong.scale]
    words: dict[str, Any] = {"entered": typed, "least": f"{least:g}", "most": f"{most:g}"}
    if wrong.scale is RingScale.ISO and wrong.size == int(wrong.size) and SWISS_LEAST <= wrong.size <= SWISS_MOST:
        words["round"] = f"{wrong.size + SWISS_LESS:g}"
        sentence = gettext(
            "ISO sizes run from %(least)s to %(most)s, and you wrote %(entered)s. The ISO size is the circumference "
            "in mm: if %(entered)s is a Swiss size, it is %(round)s."
        )
    elif wrong.scale is RingScale.ISO and wrong.size < least:
        sentence = gettext(
            "ISO sizes run from %(least)s to %(most)s, and you wrote %(entered)s. That is too small to be the "
            "circumference in mm. Is it the diameter?"
        )
    else:
        sentence = gettext("Sizes of this scale run from %(least)s to %(most)s, and you wrote %(entered)s. Look again.")
    return sentence % words
