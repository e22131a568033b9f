"""One-time links: signed, kept as a hash, once, for a week, and one at a time that makes a school."""

import datetime as dt

import pytest
from django.utils import timezone

from school.invitations import (
    LIFETIME,
    find_invitation,
    invitation_link,
    is_site,
    issue_first_school_link,
    issue_school_link,
    new_token,
    school_link,
    site_address,
    use_up,
)
from school.models import Invitation


def test_a_link_is_found_by_its_token_and_not_by_what_is_kept(db):
    token = issue_school_link()
    invitation = find_invitation(token, to_a_school=False)
    assert invitation is not None and token not in vars(invitation).values()
    assert find_invitation(invitation.token_hash, to_a_school=False) is None


@pytest.mark.parametrize("spoilt", [lambda token: token[:-1], lambda token: f"x{token}", lambda token: "", str.upper])
def test_a_token_that_is_not_whole_opens_nothing_and_asks_no_row(spoilt, db, django_assert_num_queries):
    token = issue_school_link()
    with django_assert_num_queries(0):
        assert find_invitation(spoilt(token), to_a_school=False) is None


def test_a_signed_token_that_nobody_was_given_opens_nothing(db):
    issue_school_link()
    token, _kept = new_token()
    assert find_invitation(token, to_a_school=False) is None


def test_a_link_ends_after_a_week(db):
    token = issue_school_link()
    Invitation.objects.update(expires=timezone.now() + dt.timedelta(seconds=5))
    assert find_invitation(token, to_a_school=False)
    Invitation.objects.update(expires=timezone.now())
    assert find_invitation(token, to_a_school=False) is None
    assert dt.timedelta(days=7) == LIFETIME


def test_a_new_set_up_link_ends_the_one_before(db):
    first, second = issue_school_link(), issue_school_link()
    assert find_invitation(first, to_a_school=False) is None
    assert find_invitation(second, to_a_school=False)
    assert Invitation.objects.count() == 1


def test_of_two_workers_at_their_first_start_one_prints_a_link(db):
    token = issue_first_school_link()
    assert token and issue_first_school_link() is None
    Invitation.objects.update(expires=timezone.now())
    again = issue_first_school_link()
    assert again and find_invitation(again, to_a_school=False)


def test_a_link_is_used_up_once_and_not_after_it_was_replaced(db):
    read_by_two = [find_invitation(issue_school_link(), to_a_school=False)] * 2
    assert [use_up(one) for one in read_by_two] == [True, False]
    replaced = find_invitation(issue_school_link(), to_a_school=False)
    issue_school_link()
    assert not use_up(replaced) and Invitation.objects.count() == 1


def test_an_invitation_to_a_school_makes_none(school):
    token, kept = new_token()
    Invitation.objects.create(token_hash=kept, school=school, expires=timezone.now() + LIFETIME)
    assert find_invitation(token, to_a_school=False) is None
    assert find_invitation(token, to_a_school=True).school == school
    assert find_invitation(issue_school_link(), to_a_school=True) is None


@pytest.mark.parametrize(
    ("hosts", "https", "address"),
    [
        (["localhost", "127.0.0.1"], False, "http://localhost:8000"),
        (["*", ".tidewater.example"], True, "https://tidewater.example"),
        ([], False, "http://localhost:8000"),
    ],
)
def test_the_address_is_what_the_settings_know(hosts, https, address, settings):
    settings.ALLOWED_HOSTS, settings.HTTPS = hosts, https
    assert site_address() == address
    assert is_site(address) and invitation_link("x.y", f"{address}/") == f"{address}/invited/?token=x.y"
    assert school_link("x.y", f"{address}/") == f"{address}/first-teacher/?token=x.y"


@pytest.mark.parametrize("typed", ["casting", "casting.example", "ftp://casting.example", "https://", ""])
def test_what_is_no_address_of_a_site(typed):
    assert not is_site(typed)
