"""Admin of the shelf, and a read-only admin of casting days, waxes and plans."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.http import HttpRequest
from django.utils.timezone import localdate
from django.utils.translation import gettext as _

from casting.models import (
    Alloy,
    CastingDay,
    CautionCleared,
    DayChange,
    Firing,
    Flask,
    FlaskSize,
    HouseRules,
    Investment,
    Kiln,
    PaperPrinted,
    PatternMaterial,
    Plan,
    SafetyChange,
    SafetyRecord,
    Wax,
    WaxChange,
)
from casting.services.stock import retold

if TYPE_CHECKING:
    ModelAdmin = admin.ModelAdmin[Any]
else:
    ModelAdmin = admin.ModelAdmin


@admin.register(Alloy, PatternMaterial, Investment, FlaskSize, Kiln, Firing, HouseRules)
class ShelfAdmin(ModelAdmin):
    """A row of a school's shelf."""

    list_display = ("name", "key", "school", "offered")
    list_filter = ("school", "offered")
    list_select_related = ("school",)

    def save_model(self, request: HttpRequest, obj: Any, form: Any, change: bool) -> None:
        """Save a row; a figure that is changed loses the source that it had."""
        if change:
            before = type(obj)._default_manager.get(pk=obj.pk)
            retold(obj, before.to_day(), localdate(), before.sources)
            obj.version = before.version + 1
        super().save_model(request, obj, form, change)

    def formfield_for_choice_field(self, db_field: Any, request: HttpRequest, **kwargs: Any) -> Any:
        """Return the field of a closed list; what is not on the list is refused with all that is."""
        words = ", ".join(str(name) for _key, name in db_field.choices)
        sentence = _("%(value)s is entered, but it is not known here; take one of: {words}.").format(words=words)
        errors = {"invalid_choice": sentence}
        return super().formfield_for_choice_field(db_field, request, **kwargs | {"error_messages": errors})


class ReadOnlyAdmin(ModelAdmin):
    """Rows that only services write, so that every change is recorded."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Nobody adds a row here."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Nobody changes a row here."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Nobody deletes a row here."""
        return False


@admin.register(SafetyRecord)
class SafetyRecordAdmin(ModelAdmin):
    """A school's safety record."""

    list_display = ("school",)
    list_select_related = ("school",)

    def save_model(self, request: HttpRequest, obj: Any, form: Any, change: bool) -> None:
        """Save a record as the next version, so that an open page of it is not saved over this."""
        obj.version += 1 if change else 0
        super().save_model(request, obj, form, change)


@admin.register(CautionCleared)
class CautionClearedAdmin(ReadOnlyAdmin):
    """A caution that a teacher has cleared."""

    list_display = ("at", "day", "caution", "by", "reason")
    list_select_related = ("day",)


@admin.register(CastingDay)
class CastingDayAdmin(ReadOnlyAdmin):
    """A casting day."""

    list_display = ("pour_at", "course", "closed_at")
    list_select_related = ("course",)


@admin.register(Wax)
class WaxAdmin(ReadOnlyAdmin):
    """A wax."""

    list_display = ("tag", "what", "student", "wax_g", "version", "withdrawn_at")
    list_select_related = ("student",)


@admin.register(WaxChange)
class WaxChangeAdmin(ReadOnlyAdmin):
    """A change of a wax."""

    list_display = ("at", "wax", "by_student", "by_person")
    list_select_related = ("wax", "by_student", "by_person")


@admin.register(DayChange, SafetyChange)
class ChangeAdmin(ReadOnlyAdmin):
    """A change of a casting day or of a safety record."""

    list_display = ("at", "by_person")
    list_select_related = ("by_person",)


@admin.register(Flask, PaperPrinted, Plan)
class PlanAdmin(ReadOnlyAdmin):
    """A plan, a flask of it, or a print of one of its papers."""

    list_display = ("__str__", "day")
    list_select_related = ("day",)
