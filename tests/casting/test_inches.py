"""A school that works in inches, Fahrenheit and pennyweights reads no length in mm alone, no figure in Celsius."""

import re
from decimal import Decimal

import pytest
from django.utils.translation import gettext, override

from casting.models import FlaskSize, Plan, Wax
from casting.papers.registry import PAPERS
from casting.presenters.sources import sources_of
from casting.presenters.wording import LENGTH, catalogue
from casting.services.demo import begin_demo_plan, demo_visitor, finish_demo_plan, load_demo
from casting.services.waxes import change
from school.models import Role, School
from school.students import remove
from school.team import invite
from tests.addresses import ROUTES, addresses
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.casting.test_catalogue import known
from tests.casting.test_fahrenheit import CELSIUS
from tests.casting.views.test_spanish import any_of, names_given, texts_of
from tests.casting_factories import handed_in, wax_entry
from tests.conftest import client_of_student
from tests.factories import StudentFactory

BESIDE = re.compile(r"in \([^()]*mm\)")
"""A length in inches with its mm."""
STAY_METRIC = [
    "ISO, mm round",  # ISO 8653 numbers a ring's size in mm round its inside
    "ISO, mm de contorno",
    r"A4, (one|two|una|dos) .* mm",  # sheets of labels for A4 paper are sold in mm
    r"(Nudge|Mover) .* mm",  # a print is nudged by the mm of the line that is printed to measure it
    "degrees Celsius|grados Celsius",  # the choice of the school's units
]


@pytest.fixture
def inch_school(course):
    units = {"length_unit": "in", "temperature_unit": "F", "weight_unit": "dwt", "paper": "Letter"}
    School.objects.filter(pk=course.school_id).update(**units)
    course.school.refresh_from_db()
    return course.school


@pytest.fixture
def site(inch_school, course, teacher):
    """The demo's day, planned twice, with waxes that no flask takes, one with another thickness, a perforated flask."""
    day, student = load_demo(inch_school, course), demo_visitor(course)
    size = FlaskSize.objects.filter(school=inch_school).order_by("pk")[0]
    FlaskSize.objects.filter(pk=size.pk).update(wall=FlaskSize.Wall.PERFORATED, cover_mm=9)
    handed_in(day, student, height_mm=Decimal(200))
    handed_in(day, student, width_mm=Decimal(150), depth_mm=Decimal(100))
    wax = handed_in(day, student, thickest_mm=Decimal("2.5"), thick_parts=2)
    other = wax_entry(day, width_mm=Decimal(23), section="thin", thickest_mm=Decimal(3))
    change(wax, by=teacher, version=wax.version, entry=other)
    finish_demo_plan(begin_demo_plan(day, teacher), teacher)
    make_plan(day, teacher)
    given = {"day_id": day.pk, "wax_id": wax.pk, "course_id": day.course_id, "student_id": student.pk}
    given |= {"change_id": remove(teacher, StudentFactory(course=day.course).pk).pk}
    given |= {"person_id": teacher.pk, "invitation_id": invite(teacher, "Nadia", Role.HELPER)[0].pk}
    return given | {"label": "A", "key": "mix", "which": "all", "code": day.course.code}


def metric_in(html, aside):
    """The texts of a page with a length in mm alone or a temperature in Celsius, without what is set aside."""
    bare = [(text, aside.sub("", BESIDE.sub("", text))) for text in texts_of(html)]
    return [text for text, rest in bare if re.search(r"\bmm\b", rest) or CELSIUS.search(rest)]


def as_they_are(school):
    """What stays as it is: names that people typed, what a source says, and figures that are sold in mm."""
    sources = {row.source for thing in sources_of(school).things for row in thing.rows if row.source}
    return re.compile("|".join([any_of(names_given() | sources).pattern, *STAY_METRIC]), re.IGNORECASE)


def pages_of(site, school, client):
    """Every page that a person sees, by its address; the board with each of the first and last waxes in hand."""
    tags = list(Wax.objects.filter(day_id=site["day_id"]).order_by("pk").values_list("tag", flat=True))
    for name, given in ROUTES:
        asked = addresses(name, given, site, school)
        asked += [f"{asked[0]}?wax={tag}" for tag in (tags[0], *tags[-3:]) if name == "board"]
        for address in (one for one in asked if not one.endswith((".pdf", ".zip", ".csv", ".ics"))):
            page = client.get(address)
            if "html" in page.get("Content-Type", "") and page.content:
                yield address, page.content.decode()


def test_no_page_of_an_inch_school_has_a_length_in_mm_alone(site, inch_school, course, teacher_client):
    aside, metric, opened = as_they_are(inch_school), {}, 0
    for client in (teacher_client, client_of_student(demo_visitor(course))):
        for address, html in pages_of(site, inch_school, client):
            opened += 1
            if found := metric_in(html, aside):
                metric[address] = found
    assert metric == {} and opened >= 60


def test_no_paper_of_an_inch_school_has_a_length_in_mm_alone(site, inch_school):
    aside, plan = as_they_are(inch_school), Plan.objects.latest("pk")
    jobs = (job_of(plan), job_of(plan.day))
    with override("en"):
        papers = {(one.key, nth): one.html(job) for one in PAPERS for nth, job in enumerate(jobs)}
    metric = {key: found for key, page in papers.items() if page and (found := metric_in(page, aside))}
    assert metric == {} and sum(page is not None for page in papers.values()) >= 12


def test_no_sentence_of_the_catalogue_puts_its_own_mm_behind_a_figure():
    """What the walk opens in English is so in Spanish, and where no page was opened."""
    nudges = {"%(moved)s mm is too far", "Moved by %(moved)s mm", "%(typed)s mm is tiny"}
    with override("es"):
        both = [(text, gettext(text)) for text in known()]
    fixed = [text for pair in both for text in pair if re.search(r"(%\(\w+\)[sd]|\}\}) ?mm\b", text)]
    assert {begun for begun in nudges for text in fixed if text.startswith(begun)} == nudges
    assert len(fixed) == 2 * len(nudges)
    core = catalogue("es")._catalog.items()
    assert [words for words, said in core if len(LENGTH.findall(words)) != len(LENGTH.findall(said))] == []


def test_a_length_in_mm_alone_is_found():
    aside = any_of(["Band 4 mm"])
    page = "<main><p>{}</p></main>"
    for text in ("6 mm to the wall", "Width, mm", "0.24 in (6 mm) and 3 mm", "480\u202f°C"):
        assert metric_in(page.format(text), aside) == [text.replace("\u202f", " ")]
    for text in ("0.24 in (6 mm) to the wall", "Band 4 mm", "0.87 x 0.3 in (22 x 8 mm)"):
        assert metric_in(page.format(text), aside) == []
