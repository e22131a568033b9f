"""No more of a file is kept than a form can use."""

import io

from django.http.multipartparser import MultiPartParser
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

from casting.worker import photo
from school import uploads
from school.uploads import AtMost


class Kept(AtMost):
    """What the handlers behind are given."""

    def __init__(self):
        super().__init__()
        self.pieces = []

    def receive_data_chunk(self, raw_data, start):
        self.pieces.append(len(raw_data))
        return raw_data


def passed_on(*sizes):
    files = {f"file{nth}": io.BytesIO(bytes(size)) for nth, size in enumerate(sizes)}
    for nth, file in enumerate(files.values()):
        file.name = f"{nth}.jpg"
    body = encode_multipart(BOUNDARY, files)
    behind = Kept()
    meta = {"CONTENT_TYPE": MULTIPART_CONTENT, "CONTENT_LENGTH": len(body)}
    MultiPartParser(meta, io.BytesIO(body), [AtMost(), behind]).parse()
    return sum(behind.pieces)


def test_a_long_file_is_cut_after_the_piece_that_is_too_much_and_each_is_counted_anew(monkeypatch):
    monkeypatch.setattr(uploads, "MOST_BYTES", 100_000)
    assert passed_on(90_000) == 90_000
    assert 100_000 < passed_on(1_000_000) < 100_000 + AtMost().chunk_size
    assert passed_on(1_000_000, 90_000) == passed_on(1_000_000) + 90_000


def test_the_site_lets_through_what_a_photo_may_have(settings):
    assert uploads.MOST_BYTES == photo.MOST_BYTES
    assert settings.FILE_UPLOAD_HANDLERS[0] == "school.uploads.AtMost"
