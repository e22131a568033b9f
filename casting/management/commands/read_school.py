"""Reads a school from its take-away file, for whoever keeps the host."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from casting.calc.values.errors import Refused
from casting.services.takeaway import ReadIn, read_school
from school.invitations import LIFETIME, invitation_link, is_site, site_address
from school.join import show_code


class Command(BaseCommand):
    """Reads a take-away file in as a new school; there is no page for it, as it makes people and a school."""

    help = "Read a school in from the file that a teacher took away, as a new school of this site."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file, and the address of the site, which only whoever serves it knows."""
        parser.add_argument("file", metavar="SCHOOL.zip", type=Path, help="the file that a teacher took away")
        parser.add_argument(
            "--site", help="the address of the site, as https://casting.example; else from the settings"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Read the school in and print the links of its people; a file that is refused changes nothing."""
        site = options["site"] or site_address()
        if not is_site(site):
            raise CommandError(f"{site} is not the address of a site; write it like https://casting.example.")
        try:
            read = read_school(options["file"])
        except Refused as refused:
            raise CommandError(f"Nothing was read in. {refused}") from None
        self.print_read(read, site)

    def print_read(self, read: ReadIn, site: str) -> None:
        """Print what was read in, what is not as it was, and the links."""
        self.stdout.write(f"{read.school.name} is read in.")
        for course, before in read.recoded:
            self.stdout.write(
                f"The class {course.name} has another code, {show_code(course.code)}: a class of this site has "
                f"{show_code(before)}. Print its poster again."
            )
        self.stdout.write("Students need new return codes; a teacher gives them on the page Classes.")
        if read.invited:
            self.stdout.write(f"Give each of these people their link. It works once, within {LIFETIME.days} days:")
        for person, token in read.invited:
            self.stdout.write(f"  {person.name}, {person.get_role_display()}: {invitation_link(token, site)}")
