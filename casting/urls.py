"""The addresses of the casting days, one line a page."""

from __future__ import annotations

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
