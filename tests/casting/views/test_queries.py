"""Every address of the site asks the database as often for much as for little."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.addresses import ROUTES, addresses
from tests.states import with_little, with_much


def asked_by(client, rows, school):
    """How often each address asks, by address; what it leads on to is another address."""
    asked = {}
    for name, given in ROUTES:
        for address in addresses(name, given, rows, school):
            client.get(address)  # what is kept by the process is kept from now on
            with CaptureQueriesContext(connection) as queries:
                answer = client.get(address)
                assert answer.status_code < 500, address
                b"".join(answer.streaming_content) if answer.streaming else answer.content
            asked[address] = len(queries)
    return asked


@pytest.mark.parametrize("who", ["teacher", "student"])
def test_much_takes_no_more_queries_than_little(request, who, day, student, teacher, school):
    client = request.getfixturevalue(f"{who}_client")
    rows = with_little(day, student, teacher)
    little = asked_by(client, rows, school)
    assert {name for name, given in ROUTES if not addresses(name, given, rows, school)} == set(), "not asked for"
    with_much(day, student, teacher)
    much = asked_by(client, rows, school)
    assert {address: (few, much[address]) for address, few in little.items() if much[address] > few} == {}
