"""Prints the plan file of a day file; needs no database."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils.translation import gettext_lazy as _

from casting.calc.grouping.budget import EFFORT
from casting.calc.values.errors import Refused
from casting.solve import plan_texts, read_bytes, read_effort


class Command(BaseCommand):
    """Plans a day file by the same code path as the web pages."""

    help = str(_("Print the plan file of a day file. The formats are in casting/PLAN_FILE.md."))
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file and the effort."""
        parser.add_argument("day", metavar="DAY.json", help=str(_("the day file, or - for standard input")))
        parser.add_argument(
            "--effort",
            default=str(EFFORT),
            help=str(_("work units, a whole number; more never gives a worse plan (default %(default)s)")),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the plan; for a day that is refused, one line on standard error and exit code 2."""
        try:
            effort = read_effort(str(options["effort"]))
            (text,) = plan_texts(read_bytes(options["day"]), [effort])
        except Refused as refused:
            self.stderr.write(str(refused))
            sys.exit(2)
        self.stdout.write(text, ending="")
