"""Waiting for another process, without a guess at how long it takes."""

import time
from collections.abc import Callable


def until(come: Callable[[], object]) -> None:
    """Ask again until it has come; AssertionError once two minutes have shown that it will not."""
    ends = time.monotonic() + 120
    while not come():
        assert time.monotonic() < ends, "it did not come"
        time.sleep(0.02)
