"""Server time, queries and bytes of every page at 2 waxes and at 24, or fewer; the day plan as a PDF, warm."""

from __future__ import annotations

import datetime as dt
import gc
import os
import re
import resource
import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from decimal import Decimal
from statistics import median
from time import perf_counter

from django.conf import settings
from django.db import connection
from django.test import Client, RequestFactory
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from casting.calc.grouping.budget import EFFORT
from casting.models import Alloy, CastingDay, PatternMaterial, Plan
from casting.models.wax_entry import WaxEntry
from casting.papers.pdf.render import render, render_many
from casting.papers.registry import PAPERS
from casting.papers.sheets.day_plan import day_plan_html
from casting.services.demo import record_safety
from casting.services.stock import stock_school
from casting.services.waxes import hand_in
from school.access import log_in_student
from school.join import open_course
from school.models import Course, Person, School, Student
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.days.class_day import class_day

SEED, FEW, SOME, MANY, TIMES = 100, 2, 12, 24, 5
LIMIT_MS, LIMIT_KB, LIMIT_PDF_S = 60, 60, 1.5
LIMIT_PAPERS_S, LIMIT_PAPERS_MB = 6, 250


@dataclass(frozen=True)
class Class:
    """A class with its waxes handed in and its plan made."""

    student: Client
    teacher: Client
    day: CastingDay
    first_wax: int


@dataclass(frozen=True)
class Seconds:
    """Time on the processor, that of finished children with it, and by the clock."""

    cpu: float = 0.0
    wall: float = 0.0

    @classmethod
    def now(cls) -> Seconds:
        """The time so far."""
        used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
        return cls(sum(one.ru_utime + one.ru_stime for one in used), perf_counter())

    def __sub__(self, began: Seconds) -> Seconds:
        return Seconds(self.cpu - began.cpu, self.wall - began.wall)

    def __add__(self, other: Seconds) -> Seconds:
        return Seconds(self.cpu + other.cpu, self.wall + other.wall)

    def __str__(self) -> str:
        return f"{self.cpu:.2f} s, {self.wall:.2f} by the clock"


def entry(school: School, wax: dict) -> WaxEntry:
    """A wax of a made day as a student would hand it in."""
    sprue = wax["sprue_pattern"]
    return WaxEntry(
        what="ring",
        alloy=Alloy.objects.get(school=school, key=wax["alloy"]),
        pattern=PatternMaterial.objects.get(school=school, key=wax["pattern"]),
        wax_g=Decimal(str(wax["wax_g"])),
        entered=str(wax["wax_g"]),
        entered_unit="g",
        width_mm=Decimal(str(wax["width_mm"])),
        depth_mm=Decimal(str(wax["depth_mm"])),
        height_mm=Decimal(str(wax["height_mm"])),
        section=wax["section"],
        sprue_g=Decimal(str(wax["sprue_g"])),
        sprue_pattern=PatternMaterial.objects.get(school=school, key=sprue) if sprue else None,
    )


def signed_in(student: Student, person: Person) -> tuple[Client, Client]:
    """The browsers of a student and of a teacher."""
    hers, theirs = Client(), Client()
    request = RequestFactory().get("/")
    request.session = hers.session
    log_in_student(request, student)
    request.session.save()
    hers.cookies["sessionid"] = request.session.session_key or ""
    theirs.force_login(person)
    return hers, theirs


def a_class(count: int) -> Class:
    """A school with one class of `count` waxes, planned."""
    school = School.objects.create(
        slug=f"bench-{count}", name="Tidewater FlaskEvaluator School", town="Port Ellery", zone="America/New_York"
    )
    stock_school(school)
    record = record_safety(school)
    # Nothing may hold the plan back: enough adults for as many students as waxes.
    record.adults = count
    record.save()
    course: Course = open_course(school, "Rings in wax", timezone.now() + dt.timedelta(days=30))
    person = Person.objects.create_user(
        sign_in=f"bench{count}", password=uuid.uuid4().hex, name="Imre Valdane", school=school
    )
    day = CastingDay.objects.create(course=course, pour_at=timezone.now() + dt.timedelta(days=21))
    day.alloys.set(Alloy.objects.filter(school=school, offered=True))
    waxes = []
    for nth, wax in enumerate(class_day(SEED, count)["waxes"]):
        student = Student.objects.create(course=course, called=f"Student {nth}", return_hash="!")
        waxes.append(hand_in(day, student, key=uuid.uuid4(), entry=entry(school, wax))[0])
    make_plan(day, person, EFFORT)
    first = waxes[0]
    return Class(*signed_in(first.student, person), day, first.pk)


def pages(of: Class) -> dict[str, tuple[Client, str]]:
    """Every page that is opened by its address, with who opens it."""
    day, wax = {"day_id": of.day.pk}, {"wax_id": of.first_wax}
    hers = {"hand_in": {}, "my_waxes": {}, "change_wax": wax}
    theirs = {"days": {}, "new_day": {}, "change_day": day, "waxes": day, "flasks": day, "day_plan": day, "people": {}}
    theirs |= {"papers": day, "board": day}
    return {
        **{name: (of.student, reverse(name, kwargs=given)) for name, given in hers.items()},
        **{name: (of.teacher, reverse(name, kwargs=given)) for name, given in theirs.items()},
    }


def measured(client: Client, address: str) -> tuple[float, int, int]:
    """(median server milliseconds, queries, bytes) of a page."""
    with CaptureQueriesContext(connection) as queries:
        response = client.get(address, follow=True)
    asked = len(queries)
    if response.status_code != 200:
        raise SystemExit(f"{address} answered {response.status_code}")
    took = []
    for _ in range(TIMES):
        began = perf_counter()
        client.get(address, follow=True)
        took.append((perf_counter() - began) * 1000)
    return median(took), asked, len(response.content)


def all_in_all(html: str) -> tuple[int, int]:
    """(bytes, bytes as sent) of the files that a page names, fonts that its styles name among them."""
    named = set(re.findall(r'(?:src|href)="/static/([^"?]+)"', html))
    styles = [settings.STATIC_ROOT / name for name in named if name.endswith(".css")]
    for style in styles:
        named |= {
            str((style.parent / font).resolve().relative_to(settings.STATIC_ROOT.resolve()))
            for font in re.findall(r"url\([\"']?([^)\"']+)", style.read_text(encoding="utf-8"))
        }
    plain = sent = 0
    for name in named:
        path = settings.STATIC_ROOT / name
        smaller = [path.with_name(path.name + end) for end in (".br", ".gz")]
        plain += path.stat().st_size
        sent += min(one.stat().st_size for one in [path, *smaller] if one.exists())
    return plain, sent


def rows(most: int) -> Iterator[tuple[str, str, str]]:
    """(what, figure, against what) of each page, of the hand-in page in all, of the PDF."""
    few, many = pages(a_class(FEW)), pages(planned := a_class(most))
    for name in few:
        few_ms, few_queries, _ = measured(*few[name])
        ms, queries, size = measured(*many[name])
        told = f"{few_ms:.0f} ms at {FEW} waxes ({ms / few_ms:.1f} x), {few_queries} queries; under {LIMIT_MS} ms"
        yield f"page {name}, {most} waxes", f"{ms:.0f} ms, {queries} queries, {size / 1000:.1f} kB", told
    client, address = many["hand_in"]
    html = client.get(address, follow=True).content
    plain, sent = all_in_all(html.decode())
    yield (
        "hand-in page in all",
        f"{(len(html) + sent) / 1000:.1f} kB",
        f"{(len(html) + plain) / 1000:.1f} kB before packing; under {LIMIT_KB} kB",
    )
    yield from _pdf_rows(planned, most)
    # What all papers of a class take is for a run by hand.
    if most == MANY:
        yield from _paper_rows(planned, most)


def _pdf_rows(planned: Class, waxes: int) -> Iterator[tuple[str, str, str]]:
    """The day plan PDF in this process, and as the site makes it: in a new child process."""
    client, address = planned.teacher, reverse("day_plan_pdf", kwargs={"day_id": planned.day.pk})
    plan = Plan.objects.latest_of(planned.day)
    render(day_plan_html(job_of(plan)))
    began = perf_counter()
    pdf = render(day_plan_html(job_of(plan)))
    here_s = perf_counter() - began
    began = perf_counter()
    response = client.get(address)
    apart_s = perf_counter() - began
    if response.status_code != 200 or response.content != pdf:
        raise SystemExit(f"The PDF answered {response.status_code}, or is not the one made here")
    told = f"{len(pdf) / 1000:.0f} kB; under {LIMIT_PDF_S} s; in a child {apart_s:.2f} s ({apart_s / here_s:.1f} x)"
    yield f"day plan PDF, {waxes} waxes, warm", f"{here_s:.2f} s", told


def _paper_rows(planned: Class, waxes: int) -> Iterator[tuple[str, str, str]]:
    """All papers in this process, warm; against them the same from one child, and from two as the ZIP has them made.

    Processor seconds stand beside those by the clock, with the load: another's work costs only the latter.
    """
    plan = Plan.objects.latest_of(planned.day)
    took: list[str] = []
    pages: list[str] = []
    here = Seconds()
    papers = [paper for paper in PAPERS if (html := paper.html(job_of(plan))) and render(html)]
    # As in the child that makes them for the site.
    gc.freeze()
    job = job_of(plan)
    for paper in papers:
        began = Seconds.now()
        html = paper.html(job) or ""
        render(html)
        spent = Seconds.now() - began
        here, pages = here + spent, [*pages, html]
        took.append(f"{paper.key} {spent.cpu:.2f}")
    gc.unfreeze()
    one = _made_apart(pages, 1)
    two = _made_apart(pages, 2)
    largest_mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    told = (
        f"{here.wall:.2f} s by the clock, load {os.getloadavg()[0]:.1f}; under {LIMIT_PAPERS_S} s; one child {one}, "
        f"two {two}; largest {largest_mb:.0f} MB, under {LIMIT_PAPERS_MB}; on the processor: {', '.join(took)}"
    )
    yield f"{len(pages)} papers, {waxes} waxes, warm", f"{here.cpu:.2f} s", told


def _made_apart(pages: list[str], children: int) -> Seconds:
    """What it costs to have all pages made by this number of children in parallel."""
    began = Seconds.now()
    with ThreadPoolExecutor(max_workers=children) as threads:
        made = list(threads.map(render_many, [pages[nth::children] for nth in range(children)]))
    if not all(isinstance(pdf, bytes) for share in made for pdf in share):
        raise SystemExit("a paper could not be made")
    return Seconds.now() - began
