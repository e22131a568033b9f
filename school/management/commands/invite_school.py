"""Prints the one-time link by which a school's first teacher makes the school."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from school.invitations import LIFETIME, is_site, issue_school_link, school_link, site_address


class Command(BaseCommand):
    """Prints a set-up link; the one before stops working."""

    help = "Print a one-time link by which a first teacher makes their school."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the address of the site, which only whoever serves it knows."""
        parser.add_argument(
            "--site", help="the address of the site, as https://casting.example; else from the settings"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Issue the link and print it."""
        site = options["site"] or site_address()
        if not is_site(site):
            raise CommandError(f"{site} is not the address of a site; write it like https://casting.example.")
        self.stdout.write("Give this link to the first teacher of the school. Whoever opens it first makes the school.")
        self.stdout.write(f"  {school_link(issue_school_link(), site)}")
        self.stdout.write(f"It works once, within {LIFETIME.days} days. An earlier set-up link no longer works.")
