"""The administrator's pages of schools and their first teachers; a school's own work has pages of its own."""

from typing import Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.forms import UserChangeForm
from django.db import transaction
from django.http import HttpRequest

from school.models import Person, Role, School
from school.signals import school_made
from school.team import LastTeacher, left_without_teacher


class PersonForm(UserChangeForm):  # type: ignore[type-arg]
    """Somebody who signs in. A school keeps a teacher."""

    def clean(self) -> dict[str, Any]:
        """Refuse what would leave the school of its last teacher without one, at the field that does it."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        kept = {"is_active": True, "role": Role.TEACHER, "school": self.instance.school}
        gone = [name for name, value in kept.items() if name in typed and typed[name] != value]
        if gone and left_without_teacher([self.instance]):
            self.add_error(gone[0], str(LastTeacher()))
        return typed


class PersonAdmin(UserAdmin):  # type: ignore[type-arg]
    """Teachers and administrators."""

    form = PersonForm

    list_display = ("sign_in", "name", "school", "is_active", "is_staff")
    list_filter = ("is_active", "is_staff")
    list_select_related = ("school",)
    search_fields = ("sign_in", "name")
    ordering = ("sign_in",)
    fieldsets = (
        (None, {"fields": ("sign_in", "password", "name", "spelled", "school", "role")}),
        (None, {"fields": ("is_active", "is_staff", "is_superuser")}),
    )
    add_fieldsets = (
        (
            None,
            {"fields": ("sign_in", "name", "spelled", "school", "role", "usable_password", "password1", "password2")},
        ),
    )
    filter_horizontal = ()

    def get_deleted_objects(self, objs: Any, request: HttpRequest) -> Any:
        """Return what would be deleted with them; the last teacher of a school is protected, and a sentence says so."""
        gone, counts, lacking, protected = super().get_deleted_objects(objs, request)
        with transaction.atomic():
            school = left_without_teacher(objs)
        return gone, counts, lacking, [*protected, *([f"{school}: {LastTeacher()}"] if school else [])]


class SchoolAdmin(admin.ModelAdmin):  # type: ignore[type-arg]
    """Schools; that of the demo is marked."""

    list_display = ("name", "town", "zone", "is_demo")
    prepopulated_fields = {"slug": ("name", "town")}

    def save_model(self, request: HttpRequest, obj: School, form: Any, change: bool) -> None:
        """Save the school; a new one is told of, so that it starts with a stocked shelf."""
        with transaction.atomic():
            super().save_model(request, obj, form, change)
            if not change:
                school_made.send(sender=School, school=obj)


admin.site.register(Person, PersonAdmin)
admin.site.register(School, SchoolAdmin)
