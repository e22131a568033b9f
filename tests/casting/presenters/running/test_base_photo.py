import datetime as dt

from casting.presenters.running.base_photo import base_photo_of
from casting.selectors.flasks import Noted


def test_a_photo_of_a_base_says_whether_other_waxes_were_on_it():
    at = dt.datetime(2026, 7, 4, 9, tzinfo=dt.UTC)
    notes = {("photo", "A"): Noted(at, "Nadia Ferro", {"tags": ["A1", "B2"], "photo": "key"})}
    assert base_photo_of(notes, "B", {"A1"}) is None
    same, other = base_photo_of(notes, "A", {"B2", "A1"}), base_photo_of(notes, "A", {"A1"})
    assert (same.key, same.by, same.at, same.is_old, other.is_old) == ("key", "Nadia Ferro", at, False, True)
