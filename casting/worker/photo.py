"""Cleans a photo in a child process with limits: `python -m casting.worker.photo`.

The file comes on standard input. The answer is a line of JSON, `{"size": ...}` before two JPEGs, the photo of that size
and a small one, or `{"why": ...}`. Both are drawn anew from their pixels: no place, no maker, no word of the file goes
on. The child imports no Django.
"""

from __future__ import annotations

import io
import json
import subprocess
import sys
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from casting.worker.apart import run_apart
from casting.worker.limits import limit_process, limit_time

LONG_PX, SMALL_PX = 1600, 240
"""The long side of a photo and of its small one."""
QUALITY = 75
MOST_BYTES = 12_000_000
MOST_PIXELS = 30_000_000
WALL_S, CPU_S = 20, 12
MEMORY_BYTES = 768 * 1024**2
KINDS = ("JPEG", "PNG", "WEBP")
LONGEST = (LONG_PX, LONG_PX)
BEGINS = b"\xff\xd8\xff"
AS_IT_IS = "as-it-is"
PLAIN = ["APP0"]
"""What a JPEG of ours says beside its pixels: that it is one."""


class Why(StrEnum):
    """Why a file is no photo that can be kept."""

    EMPTY = "empty"
    TOO_LONG = "too_long"
    NO_PICTURE = "no_picture"
    TOO_MANY_PIXELS = "too_many_pixels"
    MOVES = "moves"
    BROKEN = "broken"
    TOO_SLOW = "too_slow"
    NOT_PLAIN = "not_plain"


class NotAPhoto(Exception):
    """A file that is no photo; `pixels` are those that it says it has, if that is why."""

    def __init__(self, why: Why, pixels: int = 0) -> None:
        self.why, self.pixels = why, pixels
        super().__init__(why.value)


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo drawn anew, and a small one of it: both JPEG."""

    jpeg: bytes
    small: bytes


def clean(data: bytes, *, as_it_is: bool = False) -> Photo:
    """Return the photo of a file, drawn anew in this process; raise `NotAPhoto`.

    `as_it_is` keeps the bytes of a JPEG of ours, after all of it was drawn, and refuses any other.
    """
    from PIL import Image, ImageFile, ImageOps

    # The size that a file says it has is looked at here, before anything is drawn; half a photo is none.
    Image.MAX_IMAGE_PIXELS, ImageFile.LOAD_TRUNCATED_IMAGES = None, False
    try:
        image = Image.open(io.BytesIO(data), formats=KINDS[:1] if as_it_is else KINDS)
    except Exception:
        raise NotAPhoto(Why.NO_PICTURE) from None
    _refuse(image, as_it_is)
    try:
        image.draft("RGB", LONGEST)
        image.load()
        drawn = image.convert("RGBA" if image.has_transparency_data else "RGB")
        drawn.thumbnail(LONGEST)
        ImageOps.exif_transpose(drawn, in_place=True)
        bare = Image.new("RGB", drawn.size, "white")
        bare.paste(drawn, mask=drawn if drawn.mode == "RGBA" else None)
    except MemoryError:
        raise
    except Exception:
        raise NotAPhoto(Why.BROKEN) from None
    jpeg = data if as_it_is else _jpeg(bare)
    # Of the bytes that are kept, so that the same photo always has the same small one.
    small = Image.open(io.BytesIO(jpeg))
    small.thumbnail((SMALL_PX, SMALL_PX))
    return Photo(jpeg, _jpeg(small))


def _refuse(image: Any, as_it_is: bool) -> None:
    """Raise `NotAPhoto` for what can be seen before anything is drawn."""
    pixels = image.width * image.height
    if pixels > MOST_PIXELS:
        raise NotAPhoto(Why.TOO_MANY_PIXELS, pixels)
    # A phone's JPEG may bring further pictures along, and its first is the photo.
    if getattr(image, "is_animated", False) and image.format not in ("JPEG", "MPO"):
        raise NotAPhoto(Why.MOVES)
    if as_it_is and ([name for name, _said in image.applist] != PLAIN or max(image.size) > LONG_PX):
        raise NotAPhoto(Why.NOT_PLAIN)


def _jpeg(image: Any) -> bytes:
    """The pixels as a JPEG that says nothing else."""
    out = io.BytesIO()
    image.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def clean_apart(data: bytes, *, as_it_is: bool = False) -> Photo:
    """Return the photo of a file as `clean` does, drawn by a child process with limits; raise `NotAPhoto`."""
    if not data:
        raise NotAPhoto(Why.EMPTY)
    if len(data) > MOST_BYTES:
        raise NotAPhoto(Why.TOO_LONG)
    try:
        ran = run_apart("casting.worker.photo", data, WALL_S + 5, *[AS_IT_IS] * as_it_is)
    except (subprocess.TimeoutExpired, OSError):
        raise NotAPhoto(Why.TOO_SLOW) from None
    head, _end, parts = ran.stdout.partition(b"\n")
    try:
        said = json.loads(head)
    except ValueError:
        raise NotAPhoto(Why.TOO_SLOW) from None
    if "why" in said:
        raise NotAPhoto(Why(said["why"]), said["pixels"])
    photo = Photo(parts[: said["size"]], parts[said["size"] :])
    if not all(part.startswith(BEGINS) for part in (photo.jpeg, photo.small)):
        raise NotAPhoto(Why.BROKEN)
    return photo


def main() -> None:
    """Read a file; answer with its photo or with why there is none."""
    limit_process(MEMORY_BYTES)
    limit_time(CPU_S, WALL_S)
    data = sys.stdin.buffer.read(MOST_BYTES + 1)
    parts = b""
    try:
        photo = clean(data, as_it_is=sys.argv[1:] == [AS_IT_IS])
        head: dict[str, Any] = {"size": len(photo.jpeg)}
        parts = photo.jpeg + photo.small
    except NotAPhoto as refused:
        head = {"why": refused.why, "pixels": refused.pixels}
    except MemoryError:
        head = {"why": Why.TOO_SLOW, "pixels": 0}
    sys.stdout.buffer.write(json.dumps(head).encode() + b"\n" + parts)


if __name__ == "__main__":
    main()
