"""The first start of a server whose data hold no school: it prints the link that makes one."""

from __future__ import annotations

from typing import TextIO

from django.db import DatabaseError, connection

from school.invitations import issue_first_school_link, school_link, site_address
from school.models import School


def tell_the_way_in(out: TextIO) -> None:
    """Print the set-up link if there is no school and no link is open; nothing before `manage.py migrate`."""
    try:
        token = None if School.objects.exists() else issue_first_school_link()
    except DatabaseError:
        return
    finally:
        connection.close()
    if token is not None:
        out.write(
            f"There is no school yet. The first teacher makes it here, once, within seven days:\n"
            f"  {school_link(token, site_address())}\n"
            "If the site has another address, or the link is lost: manage.py invite_school --site https://...\n"
        )
        out.flush()
