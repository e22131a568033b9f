"""The form of a wax: it turns typed text into g and mm and writes nothing."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from decimal import ROUND_UP, Decimal
from string import ascii_letters
from typing import Any

from django import forms
from django.db.models import Model
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.calc.values.enums import Section
from casting.calc.values.errors import Refused
from casting.forms.ring_fields import RingFields
from casting.forms.wax_fields import Choices, LengthField, NumberField, RowChoice, row_choice, written_mass
from casting.forms.wax_questions import Figures, in_inches_instead, no_room, other_scale, questions
from casting.forms.wish_fields import WishFields
from casting.models import CastingDay, PatternMaterial, Wax
from casting.models.wax_entry import WaxEntry
from casting.presenters import formats
from casting.presenters.formats import units_of
from casting.presenters.lengths import section_in_words
from casting.presenters.refusals import said_at_box
from casting.presenters.wax_preview import WaxPreview, preview_of
from casting.selectors.kept_shelf import shelf_at
from casting.units import Mass, NotUnderstood, grams, read_number
from school.models import Student
from school.names import tidy_name, unprinted_letters

HEAVIEST_G = 500
SOLID_MOST = Decimal("1.05")
"""A wax may weigh so much more than a solid block of its size, for a ruler is read roughly."""
THINNEST_MM = Decimal("0.5")
"""No wall that anybody casts is thinner (common practice)."""

ON_BASE = (("no", _("no, the wax alone")), ("yes", _("yes, base and all")))
NUMBERED = "number-"
"""How the choice of a numbered rubber base begins; its number follows."""


class WaxForm(WishFields, RingFields):
    """One wax of a day; `doubt` is what to ask back before it is written, if its figures are hard to believe."""

    doubt = ""
    before: Figures | None = None  # of the student's wax before it
    field_order = (
        "key", "version", "weight", "unit", "on_base", "base", "pattern", "alloy", "width_mm", "depth_mm", "height_mm",
        "ring_scale", "ring_size", "band_mm", "wall_mm", "head_mm", "sprue_long_mm", "section", "thickest_mm",
        "thick_parts", "what", "second_alloy", "note", "own_metal", "stones", "sprue", "sprue_pattern",
    )  # fmt: skip
    """The order of the bench: on the scale, with the calipers, what it is."""
    key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=1, max_value=10**9)
    what = forms.CharField(
        label=_("What is it?"),
        help_text=_("In a few words, like “leaf ring”."),
        max_length=80,
        widget=forms.TextInput(attrs={"dir": "auto", "autocomplete": "off"}),
        error_messages={
            "required": _("Write what it is, in a few words."),
            "max_length": _("What you wrote has %(show_value)d signs, and 80 are the most. Make it shorter."),
        },
    )
    pattern = row_choice(_("What is it made of?"), _("Choose what the wax is made of."))
    alloy = row_choice(_("Which metal?"), _("Choose one of the metals offered."))
    own_metal = forms.BooleanField(label=_("I bring my own metal for it"), required=False)
    weight = NumberField(
        _("Write the weight that the scale shows, like 4.35."),
        label=_("Weight, with its sprue"),
        help_text=_("What the scale shows."),
    )
    unit = forms.ChoiceField(label=_("Unit"), choices=Wax.Unit.choices, initial=Wax.Unit.GRAM)
    on_base = forms.ChoiceField(
        label=_("Was it on the rubber base when you weighed it?"),
        choices=ON_BASE,
        widget=Choices,
        error_messages={"required": _("Say whether the rubber base was weighed too: rubber is not metal.")},
    )
    base = NumberField(
        label=_("What the base weighs alone"), help_text=_("Only if it was on the base. Same unit."), required=False
    )
    width_mm = LengthField(
        _("Write the width in mm, like 22 or 22.5."),
        label=_("Width, mm"),
        inches=(_("Width, in"), _("Write the width in inches, like 0.875 or 7/8.")),
    )
    depth_mm = LengthField(
        _("Write the depth in mm, like 22 or 22.5."),
        label=_("Depth, mm"),
        inches=(_("Depth, in"), _("Write the depth in inches, like 0.875 or 7/8.")),
    )
    height_mm = LengthField(
        _("Write the height in mm, sprue included, like 33."),
        label=_("Height, mm"),
        inches=(_("Height, in"), _("Write the height in inches, sprue included, like 1.3 or 1 1/4.")),
    )
    section = forms.ChoiceField(
        label=_("How thick is its thinnest part?"),
        choices=Wax.Section.choices,
        widget=Choices,
        error_messages={"required": _("Choose how thick the thinnest part is.")},
    )
    thickest_mm = LengthField(
        label=_("Its thickest part, mm"),
        inches=(_("Its thickest part, in"), ""),
        help_text=_("Measure it with calipers, the sprue not counted. Leave it empty if you have none."),
        required=False,
    )
    thick_parts = forms.TypedChoiceField(
        label=_("How many thick parts, with a thin part between them?"),
        help_text=_("A thick head and a thick foot on a thin band are two."),
        choices=[("", _("I have not looked")), (1, _("one, or it is even")), *((n, str(n)) for n in range(2, 7))],
        coerce=int,
        empty_value=None,
        required=False,
    )
    stones = forms.ChoiceField(
        label=_("Are stones set in it?"),
        help_text=_("Take them out if you can: most stones crack or lose their colour in the kiln."),
        choices=Wax.Stones.choices,
        initial=Wax.Stones.NONE,
        widget=Choices,
        error_messages={"required": _("Say whether stones are set in it. Most do not outlive the kiln.")},
    )
    sprue = NumberField(
        label=_("Weight of the sprue, if it is of another material"),
        help_text=_("Like a wax sprue on a printed ring. Same unit. Leave it empty if all is one material."),
        required=False,
    )
    sprue_pattern = RowChoice(
        label=_("What is the sprue made of?"), required=False, empty_label=_("all is one material")
    )

    def __init__(self, *args: Any, day: CastingDay, **kwargs: Any) -> None:
        self.day = day
        super().__init__(*args, **kwargs)
        # A browser cuts what is pasted to this length and says nothing.
        del self.fields["what"].widget.attrs["maxlength"]
        self.units = units_of(day.course.school)
        self.fields["unit"].initial = day.course.school.weight_unit
        self._measure()
        shelf = shelf_at(day.course.school)
        self.bases = shelf.bases
        self._number_bases()
        metals, materials = shelf.offered_on(day.pk), shelf.worked_with(PatternMaterial)
        for name, rows in {
            "alloy": metals,
            "second_alloy": metals,
            "pattern": materials,
            "sprue_pattern": materials,
        }.items():
            self._choose(name, rows)

    def _measure(self) -> None:
        """Take sizes in the unit of the school's rulers; give the phone the sentence for what is left out."""
        for name, field in self.fields.items():
            if isinstance(field, LengthField) and (text := field.measure_in(self.units, self.initial.get(name))):
                self.initial[name] = text
            if field.required and field.label:
                field.widget.attrs["data-missing"] = field.error_messages["required"]
        section = self.fields["section"]
        assert isinstance(section, forms.ChoiceField)
        if self.units.inches:
            section.choices = [(one.value, section_in_words(one, self.units)) for one in Section]

    def _size(self, length_mm: Decimal) -> str:
        """A size with its unit, as it is typed here."""
        return f"{formats.length_number(float(length_mm), self.units)} {'in' if self.units.inches else 'mm'}"

    def _number_bases(self) -> None:
        """Offer each numbered base of the school beside a base that somebody weighs now."""
        field = self.fields["on_base"]
        assert isinstance(field, forms.ChoiceField)
        alone, weighed = ON_BASE
        named = gettext("yes, base %(number)s of %(weight)s")
        numbered = [
            (f"{NUMBERED}{base.number}", named % {"number": base.number, "weight": formats.weighed(base.weight_g)})
            for base in self.bases
        ]
        other = (weighed[0], gettext("yes, another base")) if self.bases else weighed
        field.choices = [alone, *numbered, other]

    def _choose(self, name: str, rows: Sequence[Model]) -> None:
        field = self.fields[name]
        assert isinstance(field, RowChoice)
        field.offer(rows)

    @property
    def unprinted(self) -> str:
        """The letters of what it is called that papers cannot print, as a sentence names them."""
        return unprinted_letters(self.data.get("what", ""))

    def clean_what(self) -> str:
        """The words, tidied as names are."""
        return tidy_name(self.cleaned_data["what"])

    def clean(self) -> dict[str, Any]:
        """Weigh: wax and sprue without rubber, and what of it is another material."""
        found = self.cleaned_data
        if {"key", "version"} & set(self.errors):
            self.add_error(None, gettext("Part of this page is missing. Load it again; what you typed is kept."))
        self.take_ring()
        written = written_mass(found.get("weight", ""))
        if written and (number := found["weight"].strip().rstrip(ascii_letters).strip()):
            found["unit"], found["weight"] = written.value, number
        whole_g = self._weighed("weight")
        base_g = self._base()
        if whole_g is not None and base_g is not None:
            self._weigh(whole_g, base_g)
        self._thickest()
        self.check_second()
        if "wax_g" in found:
            self._sprue(found["wax_g"])
            self._plausible(found["wax_g"])
            if not written and "weight" not in self.errors:
                self.doubt = f"{self.doubt} {other_scale(found, self.day.course.school)}".strip()
        return found

    def _weighed(self, name: str) -> Decimal | None:
        """The weight in a field in g; None if it is empty or has an error already."""
        typed, unit = self.cleaned_data.get(name), self.cleaned_data.get("unit")
        if not typed or not unit:
            return None
        try:
            weight_g = grams(read_number(typed, Mass(unit)), Mass(unit))
        except NotUnderstood as wrong:
            self.add_error(name, wrong.sentence)
            return None
        # What the row holds is what is checked, shown and hashed.
        return weight_g.quantize(Decimal("0.0001"))

    def _base(self) -> Decimal | None:
        """The rubber base in g: 0 only if the student said that there is none."""
        on_base = self.cleaned_data.get("on_base")
        if on_base == "no":
            if self.cleaned_data.get("base"):
                self.add_error(
                    "base", gettext("You gave a base weight, but said that the wax was weighed alone. Clear one.")
                )
                return None
            return Decimal(0)
        if on_base and on_base.startswith(NUMBERED):
            return self._numbered(on_base.removeprefix(NUMBERED))
        if on_base == "yes" and not self.cleaned_data.get("base"):
            if "base" not in self.errors:
                self.add_error("base", gettext("Weigh the empty base and write it here: rubber is not metal."))
            return None
        return self._weighed("base") if on_base == "yes" else None

    def _numbered(self, number: str) -> Decimal | None:
        """The weight of a base by its number, written down as if it had been typed in the unit of the scale."""
        if self.cleaned_data.get("base"):
            sentence = gettext("Base %(number)s is weighed already. Clear this, or say that it is another base.")
            self.add_error("base", sentence % {"number": number})
            return None
        weight_g = next(base.weight_g for base in self.bases if base.number == number)
        unit = self.cleaned_data.get("unit")
        if unit:
            entered = (weight_g / grams(Decimal(1), Mass(unit))).quantize(Decimal("0.0001"))
            self.cleaned_data["base"] = f"{entered.normalize():f}"
        return weight_g

    def _weigh(self, whole_g: Decimal, base_g: Decimal) -> None:
        wax_g = whole_g - base_g
        typed, unit = self.cleaned_data["weight"].strip(), self.cleaned_data["unit"]
        if wax_g <= 0 and base_g:
            sentence = gettext(
                "%(entered)s %(unit)s with the base, and the base alone weighs as much or more. Weigh both again."
            )
            self.add_error("weight", sentence % {"entered": typed, "unit": unit})
        elif not 0 < wax_g <= HEAVIEST_G:
            sentence = gettext(
                "%(entered)s %(unit)s is not possible: a wax weighs more than 0 and at most 500 g. Weigh it again."
            )
            self.add_error("weight", sentence % {"entered": typed, "unit": unit})
        else:
            self.cleaned_data["wax_g"] = wax_g

    def _sprue(self, wax_g: Decimal) -> None:
        """The part of the weight that is a sprue of another material; 0 if none is given."""
        sprue_g, material = self._weighed("sprue"), self.cleaned_data.get("sprue_pattern")
        if "sprue" in self.errors:
            return
        if material and sprue_g is None:
            self.add_error("sprue", gettext("Write what the sprue alone weighs, or choose no sprue material."))
        elif sprue_g is not None and not material:
            self.add_error("sprue_pattern", gettext("Choose what the sprue is made of."))
        elif sprue_g is not None and not 0 < sprue_g < wax_g:
            sentence = gettext(
                "The sprue must weigh more than 0 and less than the whole, %(wax_g)s g. Weigh both again."
            )
            self.add_error("sprue", sentence % {"wax_g": formats.plain(wax_g)})
        else:
            self.cleaned_data["sprue_g"] = sprue_g or Decimal(0)

    def _thickest(self) -> None:
        """The thickest part is no thinner than the thinnest, and no thicker than the whole wax."""
        found, thickest_mm = self.cleaned_data, self.cleaned_data.get("thickest_mm")
        sides = [side for name in ("width_mm", "depth_mm", "height_mm") if (side := found.get(name))]
        if thickest_mm is None:
            return
        shown = {"entered": self._size(thickest_mm)}
        if "section" in found and thickest_mm < Decimal(repr(Section(found["section"]).from_mm)):
            sentence = gettext("%(entered)s is thinner than its thinnest part: %(section)s. Look at both again.")
            section = section_in_words(Section(found["section"]), self.units)
            self.add_error("thickest_mm", sentence % (shown | {"section": section}))
        elif sides and thickest_mm > SOLID_MOST * min(sides):
            sentence = gettext(
                "%(entered)s is more than the whole wax has one way, %(least)s. Measure across its thickest part."
            )
            self.add_error("thickest_mm", sentence % (shown | {"least": self._size(min(sides))}))

    def _plausible(self, wax_g: Decimal) -> None:
        """Compare the weight with the size, once both can be read."""
        sizes = [self.cleaned_data.get(name) for name in ("width_mm", "depth_mm", "height_mm")]
        material = self.cleaned_data.get("pattern")
        if material is None or None in sizes:
            return
        short_mm, middle_mm, long_mm = sorted(Decimal(size or 0) for size in sizes)
        specific_gravity = Decimal(repr(material.specific_gravity))
        solid_g = short_mm * middle_mm * long_mm / 1000 * specific_gravity
        now = Figures(wax_g, *(Decimal(size or 0) for size in sizes))
        if not self.units.inches and (inches := in_inches_instead(now.sides_mm)):
            self.add_error("width_mm", inches)
            return
        self._solid(wax_g, solid_g)
        self._sheet(wax_g, short_mm, middle_mm, specific_gravity)
        if self.doubt or "weight" in self.errors:
            self._other_unit(wax_g, short_mm * middle_mm * THINNEST_MM / 1000 * specific_gravity, SOLID_MOST * solid_g)
        self.doubt = " ".join(filter(None, [self.doubt, *questions(now, self.before, self._size)]))

    def _solid(self, wax_g: Decimal, solid_g: Decimal) -> None:
        """A wax heavier than a solid block of its size was weighed or measured wrongly."""
        if wax_g > SOLID_MOST * solid_g:
            sentence = gettext(
                "%(wax_g)s g is more than a solid block of that size weighs, %(solid_g)s g. "
                "Look for a slipped comma, weigh it without the base, measure it again."
            )
            shown = {"wax_g": formats.plain(wax_g), "solid_g": formats.decimals(solid_g, 2)}
            self.add_error("weight", sentence % shown)

    def _sheet(self, wax_g: Decimal, short_mm: Decimal, middle_mm: Decimal, specific_gravity: Decimal) -> None:
        """Doubt a wax lighter than the thinnest wall over the smallest side of its block; it may still be so."""
        sheet_g = short_mm * middle_mm * THINNEST_MM / 1000 * specific_gravity
        if wax_g >= sheet_g:
            return
        sentence = gettext(
            "%(wax_g)s g is very little for that size. A sheet of %(long)s x %(short)s, only %(thin)s "
            "thick, weighs more: %(sheet_g)s g. Look for a slipped comma. "
            "If that is what the scale shows, press the button again."
        )
        shown = {"long": self._size(middle_mm).partition(" ")[0], "short": self._size(short_mm)}
        plain = shown | {"thin": self._size(THINNEST_MM), "wax_g": formats.plain(wax_g)}
        # Never shown as less than the weight that it is compared with.
        self.doubt = sentence % (plain | {"sheet_g": formats.plain(sheet_g.quantize(Decimal("0.0001"), ROUND_UP))})

    def _other_unit(self, wax_g: Decimal, least_g: Decimal, most_g: Decimal) -> None:
        """Ask whether the number was read in g or in pennyweights, where the other of the two would fit the size."""
        unit, scale = Mass(self.cleaned_data["unit"]), Mass(self.day.course.school.weight_unit)
        other = Mass.GRAM if unit == Mass.PENNYWEIGHT else Mass.PENNYWEIGHT
        other_g = wax_g * grams(Decimal(1), other) / grams(Decimal(1), unit)
        if not least_g <= other_g <= most_g:
            return
        question = gettext("Or was it %(entered)s %(unit)s?") % {
            "entered": str(self["weight"].value()).strip(),  # a refused one is not among the cleaned
            "unit": other.value,
        }
        if "weight" in self.errors:
            self.add_error("weight", question)
        elif other != scale:  # else the scale's own unit is asked for
            self.doubt = f"{self.doubt} {question}"

    def preview(self, student: Student | None) -> WaxPreview | None:
        """The preview of the wax for its student; None, with errors on the form, if the entry is invalid."""
        if not self.is_valid() or student is None:
            return None
        try:
            preview = preview_of(self.day, student, self.entry())
        except Refused as refusal:
            self.add_error(None, said_at_box(refusal, units_of(self.day.course.school)))
            return None
        self.doubt = f"{self.doubt} {no_room(preview.left_out)}".strip()
        return preview

    def entry(self) -> WaxEntry:
        """The wax as it was understood; the form must be valid."""
        found = self.cleaned_data
        as_typed = {
            "entered": found["weight"].strip(),
            "entered_unit": found["unit"],
            "base_entered": found["base"].strip(),
            "sprue_entered": found["sprue"].strip(),
        }
        others = {name: found[name] for name in WaxEntry.__dataclass_fields__ if name not in as_typed}
        return WaxEntry(**as_typed, **others)
