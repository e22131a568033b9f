"""Every address of the site asks the database as often for much as for little."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.addresses import ROUTES, addresses
from tests.states import with_little, with_much


def asked_by(client, address):
    """How often an address asks; what it leads on to is another address."""
    with CaptureQueriesContext(connection) as queries:
        answer = client.get(address)
        assert answer.status_code < 500, address
        b"".join(answer.streaming_content) if answer.streaming else answer.content
    return len(queries)


def kept_asked_by(client, address):
    """How often it asks once the process keeps what it keeps."""
    client.get(address)
    return asked_by(client, address)


@pytest.mark.usefixtures("blank_papers")
def test_much_takes_no_more_queries_than_little(day, student, teacher, school, teacher_client, student_client):
    rows = with_little(day, student, teacher)
    clients = {"teacher": teacher_client, "student": student_client}
    walked = [address for name, given in ROUTES for address in addresses(name, given, rows, school)]
    little = {(who, address): kept_asked_by(clients[who], address) for who in clients for address in walked}
    assert {name for name, given in ROUTES if not addresses(name, given, rows, school)} == set(), "not asked for"
    with_much(day, student, teacher)
    more = [asked for asked, few in little.items() if asked_by(clients[asked[0]], asked[1]) > few]
    assert {asked: little[asked] for asked in more if kept_asked_by(clients[asked[0]], asked[1]) > little[asked]} == {}
