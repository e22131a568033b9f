"""The form of a wax: it turns typed text into g and mm and writes nothing."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from decimal import Decimal
from string import ascii_letters
from typing import Any

from django import forms
from django.db.models import Model
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.calc.values.enums import Section
from casting.calc.values.errors import Refused
from casting.forms.base_fields import BaseFields
from casting.forms.ring_fields import RingFields
from casting.forms.wax_fields import (
    WORDS,
    Choices,
    LengthField,
    NumberField,
    RowChoice,
    row_choice,
    seen_of,
    written_mass,
)
from casting.forms.wax_questions import (
    SOLID_MOST,
    Figures,
    cut_helps,
    in_inches_instead,
    no_room,
    other_scale,
    other_unit,
    questions,
    too_heavy,
    too_light,
)
from casting.forms.wish_fields import WishFields
from casting.models import CastingDay, PatternMaterial, Wax
from casting.models.wax_entry import WaxEntry
from casting.presenters import formats
from casting.presenters.formats import units_of
from casting.presenters.lengths import section_in_words
from casting.presenters.refusals import said_at_box
from casting.presenters.wax_preview import WaxPreview, preview_of
from casting.selectors.kept_shelf import shelf_at
from casting.units import Mass
from school.models import Student
from school.names import tidy_name, unprinted_letters

ANSWERED = {str(nth): nth for nth in range(1, 10)}


class WaxForm(WishFields, RingFields, BaseFields):
    """One wax of a day; `doubt` is what to ask back next before it is written, if its figures are hard to believe.

    `seen` is the mark of that question, and tells what was answered once it is sent with these very figures.
    """

    seen = ""
    answered = 0
    light = False
    enter = "next"
    """What the key at the corner of a phone's keyboard says: Enter goes to the next box, see hand-in.js."""
    room = ""  # the question about a wax that no flask takes
    before: Figures | None = None  # of the student's wax before it
    field_order = (
        "key", "version", "weight", "unit", "on_base", "base", "pattern", "alloy", "width_mm", "depth_mm", "height_mm",
        "ring_scale", "ring_size", "band_mm", "wall_mm", "head_mm", "sprue_long_mm", "section", "thinnest_mm",
        "thickest_mm", "thick_parts", "what", "second_alloy", "note", "own_metal", "stones", "sprue", "sprue_pattern",
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
    thinnest_mm = LengthField(
        label=_("Its thinnest part, mm"),
        inches=(_("Its thinnest part, in"), ""),
        help_text=_("If you measured it with calipers, you need not answer the question above."),
        required=False,
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
        self.doubts: list[str] = []
        super().__init__(*args, **kwargs)
        # A browser cuts what is pasted to this length and says nothing.
        del self.fields["what"].widget.attrs["maxlength"]
        self.units = units_of(day.course.school)
        self.fields["unit"].initial = day.course.school.weight_unit
        shelf = shelf_at(day.course.school)
        self.offer_bases(shelf.bases, Mass(day.course.school.weight_unit))
        self._measure()
        metals, materials = shelf.offered_on(day.pk), shelf.worked_with(PatternMaterial)
        for name, rows in {
            "alloy": metals,
            "second_alloy": metals,
            "pattern": materials,
            "sprue_pattern": materials,
        }.items():
            self._choose(name, rows)

    def _measure(self) -> None:
        """Take sizes in the unit of the school's rulers; tell the phone of Enter and what is left out."""
        for name, field in self.fields.items():
            if isinstance(field, LengthField) and (text := field.measure_in(self.units, self.initial.get(name))):
                self.initial[name] = text
            if self.enter and isinstance(field.widget, forms.TextInput):
                field.widget.attrs["enterkeyhint"] = self.enter
            if field.required and field.label:
                field.widget.attrs["data-missing"] = field.error_messages["required"]
        section = self.fields["section"]
        assert isinstance(section, forms.ChoiceField)
        if self.units.inches:
            section.choices = [(one.value, section_in_words(one, self.units)) for one in Section]

    def _size(self, length_mm: Decimal) -> str:
        """A size with its unit, as it is typed here."""
        return f"{formats.length_number(float(length_mm), self.units)} {'in' if self.units.inches else 'mm'}"

    def _choose(self, name: str, rows: Sequence[Model]) -> None:
        field = self.fields[name]
        assert isinstance(field, RowChoice)
        field.offer(rows)

    @property
    def doubt(self) -> str:
        """The question to be answered next; nothing if none is left."""
        return self.doubts[self.answered] if self.answered < len(self.doubts) else ""

    @property
    def tells_room(self) -> bool:
        """Whether it is time to say that no flask takes it: one thing at a time."""
        return self.doubt in ("", self.room)

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
        whole_g = self.weighed("weight")
        base_g = self.base_g()
        if whole_g is not None and base_g is not None:
            self.weigh(whole_g, base_g)
        self._thinnest()
        self._thickest()
        self.check_second()
        if "wax_g" in found:
            self._sprue(found["wax_g"])
            self._plausible(found["wax_g"])
            if not written and "weight" not in self.errors and not self.light:
                self.doubts += other_scale(found, self.day.course.school)
        return found

    def _sprue(self, wax_g: Decimal) -> None:
        """The part of the weight that is a sprue of another material; 0 if none is given."""
        sprue_g, material = self.weighed("sprue"), self.cleaned_data.get("sprue_pattern")
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

    def _thinnest(self) -> None:
        """What was measured answers the question about the thinnest part; it does not stand beside another answer."""
        found, thinnest_mm = self.cleaned_data, self.cleaned_data.get("thinnest_mm")
        if thinnest_mm is None:
            return
        section = Section.of(float(thinnest_mm))
        if not self.data.get("section"):
            self.errors.pop("section", None)
            found["section"] = section.value
        elif found.get("section") != section.value:
            sentence = gettext("%(entered)s counts as %(section)s. Choose that above, or clear this.")
            shown = {"entered": self._size(thinnest_mm), "section": section_in_words(section, self.units)}
            self.add_error("thinnest_mm", sentence % shown)

    @property
    def _thin_mm(self) -> Decimal | None:
        """How thick its thinnest part is at least; None while nobody has said."""
        found = self.cleaned_data
        if found.get("thinnest_mm"):
            return Decimal(found["thinnest_mm"])
        return Decimal(repr(Section(found["section"]).from_mm)) if "section" in found else None

    def _thickest(self) -> None:
        """The thickest part is no thinner than the thinnest, and no thicker than the whole wax."""
        found, thickest_mm = self.cleaned_data, self.cleaned_data.get("thickest_mm")
        sides = [side for name in ("width_mm", "depth_mm", "height_mm") if (side := found.get(name))]
        if thickest_mm is None:
            return
        shown = {"entered": self._size(thickest_mm)}
        if "section" in found and thickest_mm < (self._thin_mm or 0):
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
        found = self.cleaned_data
        sizes = [found.get(name) for name in ("width_mm", "depth_mm", "height_mm")]
        if found.get("pattern") is None or None in sizes:
            return
        now = Figures(wax_g, *(Decimal(size or 0) for size in sizes))
        if not self.units.inches and (inches := in_inches_instead(now.sides_mm)):
            self.add_error("width_mm", inches)
            return
        specific_gravity = Decimal(repr(found["pattern"].specific_gravity))
        least_g, solid_g = now.band_g(self._thin_mm, specific_gravity), now.solid_g(specific_gravity)
        most_g, unit = SOLID_MOST * solid_g, Mass(found["unit"])
        other = None if least_g <= wax_g <= most_g else other_unit(unit, wax_g, least_g, most_g)
        if wax_g > most_g:
            self.add_error("weight", too_heavy(wax_g, solid_g, other, found.get("on_base") == "no"))
        elif wax_g < least_g:
            self.light = True
            # A slipped comma is likelier than a unit that the school's scale does not show.
            likely = other if other == self.day.course.school.weight_unit else None
            self.doubts.append(too_light(now, self._thin_mm, least_g, likely, self._size))
        self.doubts += questions(now, None if self.light else self.before, self._size)

    def preview(self, student: Student | None) -> WaxPreview | None:
        """The preview of the wax for its student; None, with errors on the form, if the entry is invalid.

        While a wax is typed its figures are enough.
        """
        typing = "preview" in self.data
        if student is None or set(self.errors) - (WORDS.keys() if typing else set()):
            return None
        self.cleaned_data = WORDS | self.cleaned_data
        entry = self.entry()
        try:
            preview = preview_of(self.day, student, entry)
        except Refused as refusal:
            self.add_error(None, said_at_box(refusal, units_of(self.day.course.school)))
            return None
        self.room = no_room(preview.left_out)
        if self.room:
            # A size that a cut makes fit is hardly a slip of the pen.
            self.doubts.insert(len(self.doubts) if cut_helps(preview.left_out) else 0, self.room)
        self._take_answer(seen_of(entry), typing)
        return preview

    def _take_answer(self, figures: str, typing: bool) -> None:
        """Count the questions that were answered of these figures; typing on answers none."""
        of, _sign, nth = str(self.data.get("seen", "")).partition("_")
        if of == figures and nth in ANSWERED:
            self.answered = ANSWERED[nth] - typing
        self.seen = f"{figures}_{self.answered + 1}"

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
