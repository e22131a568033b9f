"""Limits that a child process sets itself, so that its work slows no phone and does not fill the server's memory."""

from __future__ import annotations

import math
import os
import signal
import sys

NICENESS = 10


def limit_process(memory_bytes: int, file_bytes: int | None = None) -> None:
    """Lower this process's priority, and bound its memory and the size of a file that it writes.

    Windows has no such limits; there the caller's wall clock alone holds.
    """
    try:
        import resource
    except ImportError:
        return
    os.nice(NICENESS)
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    if sys.platform == "linux":
        resource.setrlimit(resource.RLIMIT_AS, (memory_bytes, memory_bytes))
    if file_bytes is not None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (file_bytes, file_bytes))


def limit_time(cpu_s: int, wall_s: int, most_cpu_s: int | None = None) -> None:
    """Give this process more time from now on: `cpu_s` on the processor, `wall_s` by the clock; then a signal ends it.

    `most_cpu_s` bounds all its processor time, however often more is given.
    """
    try:
        import resource
    except ImportError:
        return
    used = resource.getrusage(resource.RUSAGE_SELF)
    until_s = math.ceil(used.ru_utime + used.ru_stime) + cpu_s
    most_s = until_s if most_cpu_s is None else most_cpu_s
    resource.setrlimit(resource.RLIMIT_CPU, (min(until_s, most_s), most_s))
    signal.alarm(wall_s)
