"""The addresses that a paper carries."""

import pytest

from casting.papers.origin import address_of


@pytest.mark.parametrize("origin", ["https://bench.example.org", "https://bench.example.org/"])
def test_an_address_is_under_the_origin_of_the_one_who_prints(origin):
    assert address_of("/days/1/", origin) == "https://bench.example.org/days/1/"


@pytest.mark.parametrize(
    ("hosts", "https", "address"),
    [
        ([".tidewater.example", "other.example"], True, "https://tidewater.example/join/"),
        (["*"], False, "http://localhost/join/"),
        ([], False, "http://localhost/join/"),
    ],
)
def test_without_one_it_is_our_first_host(settings, hosts, https, address):
    settings.ALLOWED_HOSTS, settings.HTTPS = hosts, https
    assert address_of("/join/") == address
