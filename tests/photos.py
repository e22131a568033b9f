"""Photos as phones send them, made here: a lawn with one red corner, and what goes wrong with it."""

import io
import struct
import zlib

from PIL import Image

from casting.services import photos
from casting.worker.photo import NotAPhoto, Photo, Why

GPS, ORIENTATION, MAKER = 0x8825, 0x0112, 0x010F
RED, GREEN = (200, 30, 30), (40, 120, 40)


def picture(width=640, height=480, mode="RGB"):
    """A green picture whose upper left quarter is red."""
    image = Image.new("RGB", (width, height), GREEN)
    image.paste(RED, (0, 0, width // 2, height // 2))
    return image.convert(mode)


def photo(width=640, height=480, kind="JPEG", **how):
    """The bytes of a picture."""
    out = io.BytesIO()
    picture(width, height).save(out, kind, **how)
    return out.getvalue()


def with_place(width=640, height=480, orientation=1):
    """A JPEG that says where it was taken, by which maker, a word, and which way is up."""
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKER] = orientation, "Saltmarsh Cameras"
    exif.get_ifd(GPS).update({1: "N", 2: (51.0, 30.0, 12.0)})
    return photo(width, height, exif=exif, comment=b"at my aunt's")


def png_that_says(width, height):
    """A small PNG whose head says that it is so wide and high."""
    data = photo(8, 8, "PNG")
    head = b"IHDR" + struct.pack(">II", width, height) + data[24:29]
    return data[:12] + head + struct.pack(">I", zlib.crc32(head)) + data[33:]


def moving(kind):
    """A picture of two frames."""
    out = io.BytesIO()
    picture().save(out, kind, save_all=True, append_images=[picture().rotate(90)], duration=100)
    return out.getvalue()


def opened(data):
    """A picture of bytes, whole."""
    image = Image.open(io.BytesIO(data))
    image.load()
    return image


def drawn_by_nobody(monkeypatch):
    """Let photos be drawn by nobody, and what begins with X be none; return the list of what is asked for."""
    asked = []

    def here(data):
        if data.startswith(b"X"):
            raise NotAPhoto(Why.NO_PICTURE)
        asked.append(data)
        return Photo(b"large " + data, b"small " + data)

    monkeypatch.setattr(photos, "clean_apart", here)
    return asked
