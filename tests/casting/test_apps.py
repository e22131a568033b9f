"""The casting days listen to the school as soon as the site is there."""

from school.signals import school_made


def test_the_site_listens_from_its_start():
    assert school_made.has_listeners()
