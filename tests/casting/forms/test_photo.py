"""The box of a photo reads a file, and no more of it than may be."""

from django.core.files.uploadedfile import SimpleUploadedFile

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
