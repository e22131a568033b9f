"""`python -m tests.casting.papers.write_pictures [--plan]`: keep every paper's picture as it is now.

With `--plan` the pictured day is planned again first: when the form of plan files changes, not when the search does.
"""

from __future__ import annotations

import os
import sys
import tempfile


def main() -> None:
    """Write in an empty room of its own."""
    with tempfile.TemporaryDirectory(prefix="casting-pictures-") as room:
        os.environ |= {"CASTING_DATA_DIR": room, "DJANGO_SETTINGS_MODULE": "school.settings"}
        os.environ.pop("DATABASE_URL", None)
        import django
        from django.core.management import call_command
        from django.db import connections

        django.setup()
        call_command("migrate", verbosity=0)
        if "--plan" in sys.argv[1:]:
            _write_plan()
        _write_pictures()
        connections.close_all()


def _write_plan() -> None:
    from django.db import transaction

    from tests.casting.papers.pictured_day import PICTURES, pictured_day
    from tests.casting.planned import make_plan
    from tests.factories import PersonFactory

    with transaction.atomic():
        day = pictured_day()
        made = make_plan(day, PersonFactory(school=day.course.school))
        (PICTURES / "plan.json").write_text(made.plan_file, "utf-8")
        transaction.set_rollback(True)


def _write_pictures() -> None:
    from casting.papers.pdf.render import render
    from tests.casting.papers.pictured_day import PICTURES, pictured_pages
    from tests.casting.papers.pictures import keep, pictures_of

    made = {
        f"{name}-{nth}.png": picture
        for name, html in pictured_pages().items()
        for nth, picture in enumerate(pictures_of(render(html)), start=1)
    }
    for path in PICTURES.glob("*.png"):
        if path.name not in made:
            path.unlink()
    for name, picture in made.items():
        keep(picture, PICTURES / name)
    print(f"{len(made)} pictures in {PICTURES}")


if __name__ == "__main__":
    main()
