"""`python -m tests.browser.write_style_pictures`: take the pictures of the page of elements anew, and keep them.

The tests that compare them take them, into a folder of their own, so that both are made alike.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

import pytest

from tests.browser.styled import PICTURES


def main() -> None:
    """Let the tests take the pictures, whatever they say of them, and keep what they took."""
    with tempfile.TemporaryDirectory(prefix="casting-style-") as room:
        pytest.main(["-n", "0", "--basetemp", room, "tests/browser/test_style.py", "-k", "looks_as_it_did"])
        taken = [path for path in Path(room).rglob("*.png") if "was-is" not in path.stem and not path.is_symlink()]
        taken = [path for path in taken if not any(parent.is_symlink() for parent in path.parents)]
        assert taken, "no picture was taken: read what the tests say"
        PICTURES.mkdir(exist_ok=True)
        for old in PICTURES.glob("*.png"):
            old.unlink()
        for path in taken:
            shutil.copy(path, PICTURES / path.name)
    print(f"{len(taken)} pictures, {sum(path.stat().st_size for path in PICTURES.iterdir()) / 1000:.0f} kB")


if __name__ == "__main__":
    main()
