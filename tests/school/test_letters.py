"""Which letters the papers' fonts have."""

import pytest

from school.letters import in_a_row, missing_letters, missing_signs, our_letters

PRINTED = [
    "José Łukasz", "Ελένη Κρηνιώ", "Юлія Ґалаґан", "Đặng Ngọc Ả", "Gökçe Işıldağ", "עדה בן־חיים", "ليلى الحداد",
    "نسرین\u200cگل",
]  # fmt: skip
MISSING = {
    "山田 花子": "山田花子",  # Han
    "はなこ": "はなこ",  # kana
    "ハナー・コ": "ハナー・コ",
    "김하나": "김하나",  # hangul
    "สมชาย": "สมชาย",  # Thai
    "José 花": "花",
    "花花 José": "花",
    "葛\U000e0100": "葛",  # with a selector of its drawing, which shows nothing itself
}


@pytest.mark.parametrize("name", PRINTED)
def test_a_name_that_prints_lacks_nothing(name):
    assert missing_signs(name) == missing_letters(name) == ""


@pytest.mark.parametrize(("name", "missing"), MISSING.items())
def test_each_letter_that_no_paper_prints_is_named_once(name, missing):
    assert missing_signs(name) == missing_letters(name) == missing


@pytest.mark.parametrize(
    ("name", "signs"), [("Ada 💍", "💍"), ("❤️ Ada", "❤"), ("1\ufe0f\u20e3", "\u20e3"), ("👍🏽", "👍🏽")]
)
def test_emoji_are_signs_but_not_letters(name, signs):
    assert (missing_signs(name), missing_letters(name)) == (signs, "")


def test_the_fonts_letters_are_read_from_the_fonts():
    assert {"é", "Ł", "Ω", "Ж", "ש", "ش"} <= our_letters()
    assert not {"花", "は", "하", "a"} & our_letters()


def test_many_letters_are_named_in_part():
    assert in_a_row("山田") == "山, 田"
    assert in_a_row("一二三四五六七八九") == "一, 二, 三, 四, 五, 六, 七, 八, …"
