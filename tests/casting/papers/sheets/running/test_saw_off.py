"""The saw-off map: mirrored, numbered in the order of the cuts."""

import re

from casting.papers.sheets.running.saw_off import saw_off_html, saw_off_of
from tests.casting.papers.printed import job_of


def test_every_piece_is_numbered_on_the_map_and_in_the_list(plan_24):
    job = job_of(plan_24)
    page = saw_off_html(job)
    for flask in job.opened.sheet.flasks:
        one = saw_off_of(flask, job.opened.units)
        assert [nth for nth, _piece in one.cuts] == list(range(1, len(flask.waxes) + 1))
        for nth, piece in one.cuts:
            assert f"{nth}: {piece.name.tag}" in one.map and f"{nth}: {piece.name.tag}" in page
    assert "from the button side" in page and "from the wax side" not in page


def test_pieces_that_look_alike_are_warned_of_and_one_alone_is_not(plan_24, plan_1):
    assert "The pieces here look alike." in saw_off_html(job_of(plan_24))
    page = saw_off_html(job_of(plan_1))
    assert "look alike" not in page and len(re.findall(r'class="tag"', page)) == 1


def test_no_flask_no_map(plan_0):
    assert saw_off_html(job_of(plan_0)) is None
