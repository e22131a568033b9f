"""Names from everywhere: our font draws them, and no name breaks a sheet."""

import io
import re
import unicodedata

import pikepdf
import pytest
from django.conf import settings
from fontTools.ttLib import TTFont

from casting.dayfile.shelf_file import FIXTURES
from casting.models import Wax
from casting.papers.pdf.glyphs import BOX, in_our_letters
from casting.papers.pdf.render import STATIC, render
from casting.papers.registry import PAPERS
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of
from tests.casting_factories import handed_in

OURS = ["Żółć Łuczak", "Gökçe Işıldağ Şahin", "Ελένη Κρηνιώ", "Юлія Ґалаґан", "Đặng Ngọc Ả"]
PLAIN = "Ada"
ODD = {
    "emoji": "Ada 💍🔥",
    "right-to-left": "עדה בן־חיים",
    "arabic": "ليلى الحداد",
    "persian with its joiner": "نسرین‌گل",
    "han": "山田 花子",
    "long": "Wolfeschlegelsteinhausenbergerdorff " * 2,
    "one long word": "Taumatawhakatangihangakoauauotamateaturipukakapiki"[:60],
}
NAMING = ("day-plan", "flask-cards", "weigh-back", "slips")
SLIPS = next(paper for paper in PAPERS if paper.key == "slips")
NAMING_PAPERS = [paper for paper in PAPERS if paper.key in NAMING]
EACH_NAMING_PAPER = pytest.mark.parametrize("paper", NAMING_PAPERS, ids=lambda paper: paper.key)


@pytest.fixture
def named(day, plan_1):
    """Give the one wax of the plan's flask to a student of that name."""
    wax = handed_in(day)
    Wax.objects.filter(pk=wax.pk).update(tag="w1")

    def name(called):
        type(wax.student).objects.filter(pk=wax.student_id).update(called=called)
        return plan_1

    return name


def fonts_of(pdf):
    """Each font of a PDF, with whether it is in the file."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        for thing in opened.objects:
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/FontDescriptor":
                yield str(thing.FontName), "/FontFile2" in thing or "/FontFile3" in thing


def missing_glyphs(pdf):
    """How many letters a paper shows that our font lacks: glyph 0, or one past the end of the font."""
    end = min(TTFont(STATIC / "fonts" / f"bench-sans-{weight}.ttf")["maxp"].numGlyphs for weight in (400, 700))
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        shown = [
            int(piece[nth : nth + 4], 16)
            for page in opened.pages
            for run in re.findall(rb"\[(<[^\]]*)\]\s*TJ", page.Contents.read_bytes())
            for piece in re.findall(rb"<([0-9a-fA-F]+)>", run)
            for nth in range(0, len(piece), 4)
        ]
    assert shown
    return sum(not 0 < glyph < end for glyph in shown)


def test_every_other_paper_names_nobody(named):
    others = [paper for paper in PAPERS if paper.key not in NAMING]
    plain = [paper.html(job_of(named(PLAIN))) for paper in others]
    assert [paper.html(job_of(named(OURS[0]))) for paper in others] == plain


@EACH_NAMING_PAPER
def test_polish_turkish_greek_cyrillic_and_vietnamese_names_are_drawn_by_our_font(named, paper):
    called = " ".join(OURS)
    made = render(paper.html(job_of(named(called))))
    assert missing_glyphs(made) == 0
    assert all("+Bench-Sans" in name and inside for name, inside in fonts_of(made))


@pytest.mark.parametrize("called", OURS)
def test_a_name_is_read_back_as_it_was_written(named, called):
    assert called in " ".join(pages_of(render(SLIPS.html(job_of(named(called))))))


@EACH_NAMING_PAPER
def test_emoji_right_to_left_and_long_names_break_no_sheet(named, paper):
    sheets = len(pages_of(render(paper.html(job_of(named(PLAIN))))))
    short = " ".join(ODD[key] for key in ODD if "long" not in key)
    for called in (short, ODD["long"], ODD["one long word"]):
        made = render(paper.html(job_of(named(called))))
        assert len(pages_of(made)) == sheets, called
        assert all(inside and re.search(r"\+(Bench|Noto)-Sans", name) for name, inside in fonts_of(made))


@pytest.mark.parametrize("key", ["right-to-left", "arabic", "persian with its joiner"])
def test_hebrew_and_arabic_names_are_drawn_from_the_right_and_whole(named, key):
    made = render(SLIPS.html(job_of(named(ODD[key]))))
    text = " ".join(pages_of(made))
    # Arabic letters come back in the shapes they were joined in; each is the letter once it is normal.
    assert set(ODD[key]) - set("\u200c ") <= set(unicodedata.normalize("NFKC", text))
    assert BOX not in text and "no letter for" not in text


@pytest.mark.parametrize(
    ("called", "read"),
    [("💍🔥👩‍🎨", "□□□□"), ("山田 花子", "□□ □□"), ("Ada 💍", "Ada □"), ("Zoë \u202eeoZ", "Zoë eoZ"), ("❤️", "□")],
)
def test_a_sign_that_no_font_has_prints_a_box_and_the_sheet_says_so(named, called, read):
    text = " ".join(pages_of(render(SLIPS.html(job_of(named(called))))))
    assert read in text
    assert (f"{BOX}: a sign that this paper has no letter for. Go by the tag." in text) == (BOX in read)


def test_our_own_words_lack_no_letter():
    root = settings.BASE_DIR
    ours = [root / "templates" / "base_paper.html", *(root / "templates" / "papers").glob("*.html")]
    ours += [*(root / "casting").rglob("*.py"), *FIXTURES.glob("*.json")]
    ours += [*(root / "casting" / "locale").rglob("*.po"), *(root / "school" / "locale").rglob("*.po")]
    for path in ours:
        text = path.read_text("utf-8")
        assert in_our_letters(text) == (text, False), path


def test_a_letter_that_no_font_has_is_counted_as_missing():
    page = '<link rel="stylesheet" href="paper:css/paper.css"><p>{}'
    # U+E000 is for private use: no font of a machine draws it.
    assert missing_glyphs(render(page.format("Ada \ue000"))) == 1
    assert missing_glyphs(render(page.format("Ada"))) == 0
