"""The command that prints a set-up link."""

import io

import pytest
from django.core.management import CommandError, call_command

from school.invitations import find_invitation
from school.models import Invitation


def printed(**options):
    out = io.StringIO()
    call_command("invite_school", stdout=out, **options)
    return out.getvalue()


@pytest.mark.parametrize(
    ("options", "begins"),
    [({}, "http://localhost:8000/"), ({"site": "https://casting.example/"}, "https://casting.example/first-teacher/")],
)
def test_a_link_is_printed_that_makes_a_school(options, begins, db):
    text = printed(**options)
    link = next(line.strip() for line in text.splitlines() if "token=" in line)
    assert link.startswith(begins)
    assert find_invitation(link.partition("token=")[2], to_a_school=False)
    assert "once, within 7 days" in text


@pytest.mark.parametrize("site", ["casting.example", "ftp://casting.example", "https://"])
def test_what_is_no_address_is_refused_before_a_link_is_made(site, db):
    with pytest.raises(CommandError, match="is not the address of a site"):
        printed(site=site)
    assert not Invitation.objects.exists()
