"""Static files under names that change with their content, packed once for the way to a phone."""

from typing import Any

from whitenoise.compress import Compressor  # type: ignore[import-untyped]
from whitenoise.storage import CompressedManifestStaticFilesStorage  # type: ignore[import-untyped]


class PackedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    def create_compressor(self, **options: Any) -> Compressor:
        # Brotli saves two kilobytes a page and costs every start of the demo seven seconds.
        return Compressor(use_brotli=False, **options)
