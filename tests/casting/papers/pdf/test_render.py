"""A page to a PDF: only our own files go in, and limits hold."""

import os
import subprocess
import sys
from base64 import b64encode

import pypdfium2
import pytest

from casting.papers.pdf import render as rendering
from casting.papers.pdf.render import AddressRefused, NotRendered, PangoMissing, find, render, render_apart, render_many
from casting.papers.registry import PAPERS
from casting.worker.photo import clean
from tests.casting.papers.printed import job_of
from tests.photos import photo

pytestmark = [pytest.mark.anew, pytest.mark.child]


def in_page(jpeg):
    """A photo as an address that holds it."""
    return f"data:image/jpeg;base64,{b64encode(jpeg).decode()}"


def words_of(pdf):
    """The text of a PDF, page by page."""
    return "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf))


def test_our_own_files_are_found():
    assert find("paper:css/paper.css").name == "paper.css"
    assert find("paper:fonts/bench-sans-400.ttf").suffix == ".ttf"


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/hostname", "data:text/css,*{color:red}", "http://127.0.0.1/x.css", "https://example.org/x.css",
        "ftp://127.0.0.1/x.css", "paper:../pyproject.toml", "paper:css/../../pyproject.toml", "paper:/etc/hostname",
        "paper:css/%2e%2e/x.css", "paper:fonts/README.txt", "paper:css/none.css", "PAPER:css/paper.css",
        "paper:css/paper.css?x", "paper:css/paper.css\n", "//example.org/x.css", "css/paper.css", "",
    ],
)  # fmt: skip
def test_everything_else_is_refused(address):
    with pytest.raises(AddressRefused):
        find(address)


def test_a_link_out_of_the_folder_is_refused(tmp_path, monkeypatch):
    (tmp_path / "static" / "css").mkdir(parents=True)
    (tmp_path / "outside.css").write_text("* { color: red }")
    (tmp_path / "static" / "css" / "link.css").symlink_to(tmp_path / "outside.css")
    monkeypatch.setattr(rendering, "STATIC", tmp_path / "static")
    with pytest.raises(AddressRefused):
        find("paper:css/link.css")


@pytest.mark.parametrize(
    "element",
    [
        '<img src="file://{canary}">', '<link rel="stylesheet" href="file://{canary}">',
        '<link rel="attachment" href="file://{canary}">', '<object data="file://{canary}"></object>',
        '<p style="background:url(file://{canary})">x</p>', '<style>@import "file://{canary}";</style>',
        '<svg width="9" height="9"><image href="file://{canary}" width="9" height="9"/></svg>',
        '<style>@font-face {{ font-family: x; src: url("file://{canary}") }} p {{ font-family: x }}</style><p>x</p>',
        '<img src="data:image/png;base64,iVBORw0KGgo=">', '<img src="http://127.0.0.1:9/x.png">',
    ],
)  # fmt: skip
def test_no_page_carries_a_file_out(tmp_path, element):
    canary = tmp_path / "canary.txt"
    canary.write_text("a canary that must not sing")
    try:
        pdf = render(element.format(canary=canary))
    except NotRendered:
        return
    assert b"canary" not in pdf and "canary" not in words_of(pdf)


def test_a_small_photo_may_stand_in_a_page_and_a_large_one_or_another_kind_may_not():
    pdf = render(f'<html lang="en"><title>x</title><img alt="x" src="{in_page(clean(photo()).small)}"></html>')
    assert len(list(pypdfium2.PdfDocument(pdf)[0].get_objects())) >= 1 and b"DCTDecode" in pdf
    for address in (in_page(photo() * 100), in_page(photo(kind="PNG")).replace("jpeg", "png")):
        with pytest.raises(NotRendered, match="may not fetch"):
            render(f'<img src="{address}">')


def test_a_refused_image_stops_the_paper():
    with pytest.raises(NotRendered, match="file:///etc/hostname"):
        render('<img src="file:///etc/hostname">')


def test_the_child_makes_what_this_process_makes():
    page = (
        '<meta name="dcterms.created" content="2027-03-01T10:00:00Z">'
        '<link rel="stylesheet" href="paper:css/paper.css"><p>Sterling 50.0 g'
    )
    assert render_apart(page) == render(page)


def test_a_page_is_the_same_bytes_first_and_after_others(plan_24):
    # The first of one child is the last of the other.
    htmls = [html for paper in PAPERS if (html := paper.html(job_of(plan_24)))][:3]
    assert render_many(list(reversed(htmls))) == list(reversed(render_many(htmls)))


def test_two_processes_that_hash_otherwise_make_the_same_bytes(plan_own):
    pages = [
        paper.html(job_of(plan_own)).encode() for paper in PAPERS if paper.key in ("day-plan", "flask-cards", "slips")
    ]
    sent = b"".join(len(page).to_bytes(rendering.LENGTH, "big") + page for page in pages)
    command = [sys.executable, "-m", "casting.papers.pdf.render"]
    one, other = (
        subprocess.run(command, input=sent, capture_output=True, check=True, env={**os.environ, "PYTHONHASHSEED": seed})
        for seed in ("1", "2")
    )
    assert one.stdout.count(b"%PDF-") == len(pages) == 3 and one.stdout == other.stdout


def test_a_refusal_in_the_child_is_told_by_the_parent():
    with pytest.raises(NotRendered, match="file:///etc/hostname"):
        render_apart('<img src="file:///etc/hostname">')


def test_a_page_too_long_is_not_begun(monkeypatch):
    monkeypatch.setattr(rendering, "MOST_HTML_BYTES", 100)
    with pytest.raises(NotRendered, match="100 is the most"):
        render_apart("x" * 101)


def test_a_pdf_too_large_is_not_given_out(monkeypatch):
    monkeypatch.setattr(rendering, "MOST_PDF_BYTES", 100)
    with pytest.raises(NotRendered, match="100 is the most"):
        render("<p>x")


def test_papers_that_take_too_long_together_are_ended(monkeypatch):
    monkeypatch.setattr(rendering, "ALL_S", 0.01)
    with pytest.raises(NotRendered, match="together took longer"):
        render_apart("<p>x")


# What the pages look like is nothing to these children: a PDF is its page here.
HARM = """
import signal, sys
import casting.papers.pdf.render as r
r.CPU_S = 1
def render(html):
    if "spins" in html:
        while True: pass
    if "sleeps" in html:
        r.signal.alarm(1); r.time.sleep(30)
    if "eats" in html:
        bytearray(r.MEMORY_BYTES)
    if "dies" in html:
        signal.raise_signal(signal.SIGKILL)
    if "bursts" in html:
        raise ZeroDivisionError("it burst at line 7")
    return b"%PDF-" + html.encode()
r.render = render
sys.exit(r.main())
"""


@pytest.fixture
def harmful(monkeypatch):
    """A child in which a page does what it says; gives the number of pages sent to each child."""
    run, sent = subprocess.run, []

    def harmed(command, **known):
        sent.append(known["input"].count(b"<p>"))
        return run([sys.executable, "-c", HARM], **known)

    monkeypatch.setattr(rendering.subprocess, "run", harmed)
    return sent


@pytest.mark.parametrize(
    ("harm", "said", "children"),
    [
        ("eats", "more than 1073741824 bytes", [3, 1, 1]), ("dies", "code -9", [3, 1, 1]),
        ("bursts", "ZeroDivisionError: it burst at line 7", [3]),
    ],
)  # fmt: skip
def test_a_page_that_harms_its_child_costs_no_other(harmful, harm, said, children):
    first, harmed, last = render_many(["<p>one", f"<p>{harm}", "<p>three"])
    assert (first, last) == (b"%PDF-<p>one", b"%PDF-<p>three")
    assert isinstance(harmed, NotRendered) and said in str(harmed)
    assert harmful == children


@pytest.mark.parametrize(("harm", "said"), [("spins", "code -24"), ("sleeps", "longer than 60 s")])
def test_a_page_that_ends_its_child_as_the_first_is_not_tried_again(harmful, harm, said):
    harmed, last = render_many([f"<p>{harm}", "<p>two"])
    assert isinstance(harmed, NotRendered) and said in str(harmed) and last == b"%PDF-<p>two"
    assert harmful == [2, 1]


def test_one_child_makes_many_pages_each_as_it_would_alone():
    pages = [f'<meta name="dcterms.created" content="2027-03-01T10:00:00Z"><p>{name}' for name in ("a", "b", "ą")]
    pages.insert(1, '<img src="file:///etc/hostname">')
    made = render_many(pages)
    assert isinstance(made[1], NotRendered) and "file:///etc/hostname" in str(made[1])
    assert [made[0], *made[2:]] == [render(page) for page in (pages[0], *pages[2:])]


def test_an_answer_that_is_cut_short_is_not_believed():
    whole = rendering._framed(b"%PDF-1", b"+") + rendering._framed(b"no", b"-")
    pdf, failed = rendering._answers(whole)
    assert pdf == b"%PDF-1" and str(failed) == "no"
    assert rendering._answers(whole[:-1]) == [b"%PDF-1"]
    assert rendering._answers(b"x" + whole) == []
    assert isinstance(rendering._answers(rendering._framed(b"GIF89a", b"+"))[0], NotRendered)


def test_a_machine_without_pango_says_so(monkeypatch):
    class Done:
        returncode, stdout, stderr = rendering.PANGO_MISSING, b"", b"cannot load libpango"

    monkeypatch.setattr(rendering.subprocess, "run", lambda *args, **kwargs: Done)
    with pytest.raises(PangoMissing, match="libpango"):
        render_apart("<p>x")
