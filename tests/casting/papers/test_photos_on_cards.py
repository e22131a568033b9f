"""Photos and short notes on the cards of flasks."""

import io

import pdfplumber
import pikepdf
import pypdfium2

from casting.models import Wax, WaxPhoto
from casting.papers.pdf.render import render
from casting.papers.sheets.flask_cards import flask_cards_html
from casting.worker.photo import clean
from tests.casting.papers.conftest import stored
from tests.casting.papers.pdf.test_tagging import check_structure, elements, found_outside
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import MM_PER_POINT
from tests.casting.papers.sheets.test_flask_cards import plan_of, plan_of_widths
from tests.casting_factories import handed_in
from tests.photos import photo


def with_photos(plan, note=""):
    """Each wax of the plan with a photo, and with this note."""
    small = clean(photo(400, 300)).small
    for row in plan.day_values["waxes"]:
        wax = handed_in(plan.day)
        Wax.objects.filter(pk=wax.pk).update(tag=row["key"], note=note)
        WaxPhoto.objects.create(wax=wax, sent_as="abc", jpeg=b"", small=small)
    return plan


def pictures_on(pdf):
    """The pictures of each page: how wide and high they are in mm, and where they begin."""
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        return [
            [
                [round(one[side] * MM_PER_POINT, 1) for side in ("width", "height", "x0", "bottom")]
                for one in page.images
            ]
            for page in opened.pages
        ]


def test_photos_stand_beneath_the_tags_where_they_have_room_and_push_no_flask_off_its_paper(day, teacher):
    plan = stored(day, teacher, *plan_of_widths(50.8, 63.5, 76.2))
    bare = render(flask_cards_html(job_of(plan)))
    pdf = render(flask_cards_html(job_of(with_photos(plan, "no polish inside"))))
    assert [len(page) for page in pictures_on(bare)] == [0, 0]
    assert [len(page) for page in pictures_on(pdf)] == [6, 3], "as many sheets as without photos"
    for page in pictures_on(pdf):
        assert all(7 <= high <= 16 for _wide, high, _left, _bottom in page)
        assert len({tuple(one[2:]) for one in page}) == len(page), "none hides another"
    words = pypdfium2.PdfDocument(pdf)[0].get_textpage().get_text_range()
    assert words.count("no polish inside") == 6


def test_a_note_that_is_too_long_for_a_line_is_not_printed(day, teacher):
    plan = with_photos(stored(day, teacher, *plan_of(1)), "n" * 41)
    assert "n" * 41 not in flask_cards_html(job_of(plan))
    Wax.objects.update(note="n" * 40)
    assert "n" * 40 in flask_cards_html(job_of(plan))


def test_a_label_without_views_has_no_photo(day, teacher):
    plan = with_photos(stored(day, teacher, *plan_of(1)), "no polish")
    html = flask_cards_html(job_of(plan), stock="a4-2x4-apart")
    assert "data:image" not in html


def test_a_card_with_a_photo_is_read_out_with_what_it_shows(day, teacher, tmp_path):
    made = render(flask_cards_html(job_of(with_photos(stored(day, teacher, *plan_of(1))))))
    check_structure(made)
    assert found_outside(made, tmp_path) == []
    with pikepdf.open(io.BytesIO(made)) as pdf:
        said = {str(element.Alt) for element, _parent in elements(pdf) if "/Alt" in element}
    assert {"Photo of A1", "Photo of A2", "Photo of A3"} <= said
