"""`python -m tests.casting.papers.write_pictures [--plan]`: keep every paper's picture as it is now.

With `--plan` the pictured day is planned again first: when the form of plan files changes, not when the search does.
"""

from __future__ import annotations

import sys

from tests.bench.room import empty_room


def main() -> None:
    """Write in an empty room of its own."""
    with empty_room("pictures"):
        if "--plan" in sys.argv[1:]:
            _write_plan()
        _write_pictures()


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
