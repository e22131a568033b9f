"""Takes no more of a file than a form can use: what is sent beyond that is not kept, in memory or on disk."""

from __future__ import annotations

from typing import Any

from django.core.files.uploadhandler import FileUploadHandler

MOST_BYTES = 12_000_000
"""One byte and a chunk more are let through, so that a form sees that the file was too long."""


class AtMost(FileUploadHandler):
    """The first handler of an upload: those behind it get nothing of what is too much."""

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        """Count anew for each file."""
        super().new_file(*args, **kwargs)
        self.passed = 0

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        """Pass a chunk on until one has gone beyond the most."""
        if self.passed > MOST_BYTES:
            return None
        self.passed += len(raw_data)
        return raw_data

    def file_complete(self, file_size: int) -> None:
        """Leave the file to the handlers behind."""
        return
