"""The box of a photo reads a file, and no more of it than may be."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from casting.forms import photo
from casting.forms.photo import PhotoForm


def sent(data):
    return PhotoForm({}, {"photo": SimpleUploadedFile("any.name", data)}).sent()


def test_a_file_is_read_whatever_its_name_and_an_empty_one_too():
    assert (sent(b"bytes"), sent(b"")) == (b"bytes", b"")
    assert PhotoForm({}, {}).sent() is None and PhotoForm({"photo": "[object File]"}, {}).sent() is None


def test_what_is_too_long_is_cut_one_byte_behind_the_most(monkeypatch):
    monkeypatch.setattr(photo, "MOST_BYTES", 4)
    assert (sent(b"1234"), sent(b"123456789")) == (b"1234", b"12345")


@pytest.mark.parametrize(("said", "age_s"), [("90000", 90), ("0", 0), ("", 0), ("-5", 0), ("NaN", 0)])
def test_a_phone_says_how_long_ago_it_was_chosen_and_what_it_cannot_say_counts_as_now(said, age_s):
    form = PhotoForm({"age_ms": said}, {"photo": SimpleUploadedFile("any.name", b"bytes")})
    ago_s = (timezone.now() - form.chosen_at()).total_seconds()
    assert (form.sent(), age_s - 5 < ago_s < age_s + 5) == (b"bytes", True)
