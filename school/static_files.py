"""Static files, compressed once and served under names that change with their content."""

from typing import Any

from whitenoise.compress import Compressor  # type: ignore[import-untyped]
from whitenoise.storage import CompressedManifestStaticFilesStorage  # type: ignore[import-untyped]


class CompressedStaticFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Compresses static files with gzip alone."""

    def create_compressor(self, **options: Any) -> Compressor:
        """Return a compressor without Brotli."""
        # Brotli would save two kilobytes a page and cost seven seconds at every start of the demo.
        return Compressor(use_brotli=False, **options)
