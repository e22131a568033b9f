"""A photo is drawn anew: nothing but its pixels goes on, and what is no photo is refused for its reason."""

import io
import json
import subprocess

import pytest

from casting.worker import photo as photos
from casting.worker.photo import MOST_BYTES, NotAPhoto, Why, clean, clean_apart
from tests.photos import moving, opened, photo, picture, png_that_says, with_place


def is_red(colour):
    return colour[0] > 150 > colour[1] + 50


def test_place_maker_and_words_are_gone_and_the_picture_stands_upright():
    sent = with_place(400, 200, orientation=6)
    assert b"Saltmarsh" in sent and b"my aunt" in sent and opened(sent).getexif()
    made = clean(sent)
    for data in (made.jpeg, made.small):
        assert b"Saltmarsh" not in data and b"my aunt" not in data and b"Exif" not in data
        image = opened(data)
        assert (image.format, [name for name, _said in image.applist], dict(image.getexif())) == ("JPEG", ["APP0"], {})
    # 6 is "turn it right by a quarter": 400 x 200 becomes 200 x 400, and its upper left corner the upper right one.
    upright = opened(made.jpeg)
    assert upright.size == (200, 400)
    assert is_red(upright.getpixel((180, 20))) and not is_red(upright.getpixel((20, 20)))


@pytest.mark.parametrize(
    ("size", "kept", "small"),
    [((3200, 1000), (1600, 500), (240, 75)), ((500, 2000), (400, 1600), (60, 240)), ((100, 80), (100, 80), (100, 80))],
)
def test_a_large_photo_becomes_small_and_a_small_one_stays(size, kept, small):
    made = clean(photo(*size))
    assert (opened(made.jpeg).size, opened(made.small).size) == (kept, small)


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_other_kinds_become_jpeg(kind):
    assert opened(clean(photo(kind=kind)).jpeg).format == "JPEG"


def test_what_is_clear_is_white_and_not_black():
    out = io.BytesIO()
    image = picture(mode="RGBA")
    image.putalpha(0)
    image.save(out, "PNG")
    assert opened(clean(out.getvalue()).jpeg).getpixel((50, 50)) == (255, 255, 255)


def test_the_first_of_several_pictures_in_a_phone_s_jpeg_is_the_photo():
    out = io.BytesIO()
    picture().save(out, "MPO", save_all=True, append_images=[picture(64, 48)])
    assert opened(out.getvalue()).n_frames == 2
    assert opened(clean(out.getvalue()).jpeg).size == (640, 480)


REFUSED = {
    "text": (b"plain text", Why.NO_PICTURE),
    "a drawing that may hold a script": (b"<svg xmlns='http://www.w3.org/2000/svg'></svg>", Why.NO_PICTURE),
    "another kind": (photo(kind="GIF"), Why.NO_PICTURE),
    "40 million pixels": (png_that_says(8000, 5000), Why.TOO_MANY_PIXELS),
    "a bomb": (png_that_says(60_000, 60_000), Why.TOO_MANY_PIXELS),
    "a moving PNG": (moving("PNG"), Why.MOVES),
    "a moving WebP": (moving("WEBP"), Why.MOVES),
    "a cut JPEG": (photo()[:3000], Why.BROKEN),
    "a cut PNG": (photo(kind="PNG")[:1000], Why.BROKEN),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_photo_is_refused_for_its_reason(name):
    data, why = REFUSED[name]
    with pytest.raises(NotAPhoto) as refused:
        clean(data)
    assert refused.value.why == why
    if name == "40 million pixels":
        assert refused.value.pixels == 40_000_000


def test_a_child_draws_it_as_this_process_does():
    sent = with_place()
    assert clean_apart(sent) == clean(sent)
    with pytest.raises(NotAPhoto, match="too_many_pixels") as refused:
        clean_apart(png_that_says(8000, 5000))
    assert refused.value.pixels == 40_000_000


@pytest.mark.parametrize(("data", "why"), [(b"", Why.EMPTY), (bytes(MOST_BYTES + 1), Why.TOO_LONG)])
def test_nothing_and_too_much_need_no_child(monkeypatch, data, why):
    monkeypatch.setattr(photos, "run_apart", None)
    with pytest.raises(NotAPhoto) as refused:
        clean_apart(data)
    assert refused.value.why == why


@pytest.mark.parametrize(
    ("said", "why"),
    [
        (b"", Why.TOO_SLOW),
        (b"{", Why.TOO_SLOW),
        (json.dumps({"why": "too_slow", "pixels": 0}).encode(), Why.TOO_SLOW),
        (b'{"size": 4}\nGIF8GIF8', Why.BROKEN),
    ],
    ids=["ended by a limit", "half an answer", "out of memory", "no JPEG"],
)
def test_a_child_that_breaks_off_or_answers_oddly_is_not_believed(monkeypatch, said, why):
    monkeypatch.setattr(photos, "run_apart", lambda *_asked: subprocess.CompletedProcess([], 0, said, b""))
    with pytest.raises(NotAPhoto) as refused:
        clean_apart(photo())
    assert refused.value.why == why


def test_a_child_that_takes_too_long_is_ended(monkeypatch):
    def late(*_asked):
        raise subprocess.TimeoutExpired("photo", 1)

    monkeypatch.setattr(photos, "run_apart", late)
    with pytest.raises(NotAPhoto, match="too_slow"):
        clean_apart(photo())


def test_one_of_ours_is_kept_byte_for_byte_and_any_other_is_not():
    ours = clean(photo())
    assert clean(ours.jpeg, as_it_is=True) == ours
    for other, why in ((with_place(), Why.NOT_PLAIN), (photo(1700, 10), Why.NOT_PLAIN), (ours.jpeg[:2000], Why.BROKEN),
                       (photo(kind="PNG"), Why.NO_PICTURE)):  # fmt: skip
        with pytest.raises(NotAPhoto) as refused:
            clean(other, as_it_is=True)
        assert refused.value.why == why
