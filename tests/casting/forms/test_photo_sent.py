"""What a page or an outbox is told of the photo that it sent; nothing here asks the database."""

import pytest
from django.contrib.messages import get_messages
from django.contrib.messages.storage.cookie import CookieStorage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import RequestFactory

from casting.forms.photo_sent import Place, take_sent
from casting.models.errors import NotPlanned
from casting.services.photos import Busy, NoPhoto


def sent(keep=lambda _data, _at: None, data=b"photo", **posted):
    """The answer, and what a page is told."""
    files = {} if data is None else {"photo": SimpleUploadedFile("a.jpg", data)}
    request = RequestFactory().post("/", posted | files)
    request._messages = CookieStorage(request)
    answer = take_sent(request, Place(keep, lambda: None, "kept", "taken away", "/page/"))
    return answer, [str(one) for one in get_messages(request)]


def test_a_page_is_told_by_a_message():
    kept = []
    assert sent(lambda data, _at: kept.append(data)) == (None, ["kept"])
    assert sent(do="remove") == (None, ["taken away"]) and kept == [b"photo"]
    assert "No photo was chosen" in sent(data=None)[1][0]


@pytest.mark.parametrize(("why", "status"), [(NoPhoto, 422), (Busy, 503), (NotPlanned, 422)])
def test_an_outbox_waits_only_while_too_many_are_read(why, status):
    def refuse(_data, _at):
        raise why("<why>")

    answer, said = sent(refuse, outbox="1")
    assert (answer.status_code, answer.content, answer["Content-Type"][:10], said) == (
        status, b"<why>", "text/plain", [],
    )  # fmt: skip
    assert sent(outbox="1")[0].headers["Photo-Page"] == "/page/" and sent(refuse) == (None, ["<why>"])
