"""A school that works in inches, Fahrenheit and pennyweights reads no mm and no grams alone, no figure in Celsius."""

import re
from decimal import Decimal

import pytest
from django.utils.translation import gettext, override

from casting.models import FlaskSize, Plan, Wax
from casting.papers.registry import OF_ACCOUNT, PAPERS
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


WEIGHED = re.compile(r"[\d.,]+ dwt,? \(?[\d.,]+ g\b\)?")
"""A weight in pennyweights with its grams."""
GRAMS = re.compile(r"\d g\b(?!/)")
STAY_IN_GRAMS = [
    r"powder [\d.]+ g water [\d.]+ g",  # powder and water are weighed in grams everywhere
    r"[\d.]+ g (of )?(powder|water)\b",  # the same
    r"a solid one [\d.]+ g and [\d.]+ g",  # the same
    r"([\d.…]+ g )?(of water )?to 100 g( of powder| water)?",  # water to powder, as its maker's sheet has it
    r"38 to 42 g|35 to 45 g",  # the same in the words of a rule
    r"^\w+: .* × [\d.]+ = [\d.,]+ g$",  # sums in small type: the arithmetic is in grams
    r"^(Button|Weigh out|Bowl|Powder|Trunk): .*",  # the same
    r"120 to 200 g",  # molten metal in the class of a clothing standard
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


def grams_in(html, aside):
    """The texts of a page with a weight in grams alone; grams on a line of their own stand under their pennyweights."""
    found, before = [], ""
    for text in texts_of(html):
        rest = aside.sub("", WEIGHED.sub("", text))
        if GRAMS.search(rest) and not (before.endswith(" dwt") and re.fullmatch(r"[\d.,]+ g", text)):
            found.append(text)
        before = text
    return found


def stay_in_grams(school):
    """What stays in grams, with powder and water as the plans have them, and names and sources as they are."""
    files = [plan.file for plan in Plan.objects.filter(day__course__school=school)]
    parts = [one for file in files for one in (*file["flasks"], *file["bowls"], file["totals"])]
    mixed = [re.escape(f"{one['powder_g']} g") for one in parts] + [f"{one['water_g']:.1f} g" for one in parts]
    figure, bowl = f"({'|'.join(mixed)})", r"([A-Z] )+(\w{3} \d\d:\d\d|[\d¼½¾ ×]+ in) "
    alone = rf"^(powder |water |{bowl})?{figure}( {figure})?( invested)?$"
    return re.compile("|".join([as_they_are(school).pattern, *STAY_IN_GRAMS, alone]), re.IGNORECASE)


def as_they_are(school):
    """What stays as it is: names that people typed, what a source says, and figures that are sold in mm."""
    sources = {row.source for thing in sources_of(school).things for row in thing.rows if row.source}
    return re.compile("|".join([any_of(names_given() | sources).pattern, *STAY_METRIC]), re.IGNORECASE)


def pages_of(site, school, client):
    """Every page that a person sees, by its address; the board with each of the first and last waxes in hand."""
    tags = list(Wax.objects.filter(day_id=site["day_id"]).order_by("pk").values_list("tag", flat=True))
    for name, given in ROUTES:
        asked = addresses(name, given, site, school)
        asked = [] if name == "style" else asked  # its figures are samples
        asked += [f"{asked[0]}?wax={tag}" for tag in (tags[0], *tags[-3:]) if name == "board"]
        for address in (one for one in asked if not one.endswith((".pdf", ".zip", ".csv", ".ics"))):
            page = client.get(address)
            if "html" in page.get("Content-Type", "") and page.content:
                yield address, page.content.decode()


def test_no_page_of_an_inch_school_has_a_length_in_mm_or_a_weight_in_grams_alone(
    site, inch_school, course, teacher_client
):
    aside, in_grams, metric, opened = as_they_are(inch_school), stay_in_grams(inch_school), {}, 0
    for client in (teacher_client, client_of_student(demo_visitor(course))):
        for address, html in pages_of(site, inch_school, client):
            opened += 1
            if found := metric_in(html, aside) + grams_in(html, in_grams):
                metric[address] = found
    assert metric == {} and opened >= 60


def test_no_paper_of_an_inch_school_has_a_length_in_mm_or_a_weight_in_grams_alone(site, inch_school):
    aside, in_grams, plan = as_they_are(inch_school), stay_in_grams(inch_school), Plan.objects.latest("pk")
    jobs = (job_of(plan), job_of(plan.day))
    with override("en"):
        papers = {(one.key, nth): one.html(job) for one in (*PAPERS, *OF_ACCOUNT) for nth, job in enumerate(jobs)}
    wrong = {key: metric_in(page, aside) + grams_in(page, in_grams) for key, page in papers.items() if page}
    metric = {key: found for key, found in wrong.items() if found}
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


def test_a_weight_in_grams_alone_is_found():
    aside = re.compile("|".join(STAY_IN_GRAMS))
    page = "<main><p>{}</p></main>"
    for text in ("24.0 g metal", "A2: 0.95 g", "15.43 dwt", "10.5 g gently: 15.43 dwt (24.0 g)", "dwt 24.0 g"):
        assert grams_in(page.format(text), aside) == ([text] if " g" in text else [])
    for text in ("15.43 dwt (24.0 g)", "<b>15.43 dwt</b> <small>24.0 g</small>", "15.43 dwt<br>24.0 g", "10.36 g/ml"):
        assert grams_in(page.format(text), aside) == []
    for text in ("211 g powder", "A2: 0.95 g wax / 0.96 × 10.36 = 10.25 g", "40 g of water to 100 g of powder"):
        assert grams_in(page.format(text), aside) == []
    assert grams_in("<p>15.43 dwt</p><p>weigh out 24.0 g</p>", aside) == ["weigh out 24.0 g"]
