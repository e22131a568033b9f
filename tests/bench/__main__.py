"""`python -m tests.bench`: what plans and pages cost, each beside something measured in the same run.

In-process, in an empty room of its own; nothing is asserted, since a busy machine is no fault of the code.
"""

from __future__ import annotations

import os
import platform
import tempfile
from collections.abc import Iterable


def told(rows: Iterable[tuple[str, str, str]]) -> None:
    """Print rows as they come."""
    for what, figure, against in rows:
        print(f"{what:<34} {figure:<30} {against}", flush=True)


def main() -> None:
    print(f"Python {platform.python_version()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
    with tempfile.TemporaryDirectory(prefix="casting-bench-") as room:
        os.environ |= {
            "CASTING_DATA_DIR": room,
            "DJANGO_SETTINGS_MODULE": "school.settings",
            "CASTING_HOSTS": "localhost,127.0.0.1,testserver",
        }
        os.environ.pop("DATABASE_URL", None)
        import django
        from django.core.management import call_command
        from django.db import connections

        django.setup()
        call_command("migrate", verbosity=0)
        call_command("collectstatic", verbosity=0, interactive=False)
        from tests.bench import pages, plans

        told(pages.rows())
        told(plans.rows())
        connections.close_all()


if __name__ == "__main__":
    main()
