"""The administrator's pages of schools and their first teachers; a school's own work has pages of its own."""

from typing import Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.db import transaction
from django.http import HttpRequest

from school.models import Person, School
from school.signals import school_made


class PersonAdmin(UserAdmin):  # type: ignore[type-arg]
    """Teachers and administrators."""

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
