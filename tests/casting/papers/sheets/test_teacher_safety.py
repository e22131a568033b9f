"""The teacher's safety sheet: gates, kit, limits with their sources, what is open and what was cleared."""

import json
import re
from dataclasses import replace

import pytest

from casting.calc.values.enums import Level
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import FIXTURES
from casting.models import Alloy, CautionCleared, SafetyRecord
from casting.papers.pdf.render import render
from casting.papers.sheets.teacher_safety import (
    gates_of,
    kit_for,
    limits_for,
    reminders_of,
    teacher_safety_html,
    used_of,
)
from casting.presenters.cautions import ShownCaution
from casting.presenters.opened_plan import OpenedPlan
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of
from tests.casting.papers.sheets.test_day_plan import words_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.factories import StudentFactory


def needed(item, **numbers):
    """How many of a thing the kit has for a class."""
    line = next(line for line in kit_for({"learners": 0, "adults": 0, "torches": 1, "stations": 3} | numbers) if
                line.item.startswith(item))  # fmt: skip
    return line.count


def limits_by_id(used):
    return {row["id"]: row for row in limits_for(used)}


@pytest.mark.parametrize(
    ("item", "numbers", "count"),
    [
        # Each by hand from its rule: N + T + 2; stations + T, 3 at least; torches + 1; 2 a station + 1; 2 N;
        # 1 for 2 torches; 1 for 4 stations; 1 for 25 people; N / 20, 2 at least.
        ("safety glasses", {"learners": 12, "adults": 2}, 16),
        # The handout asks a mask of everyone who opens powder, quenches or cleans out: 12 who may, and 2 adults.
        ("masks", {"learners": 12, "adults": 2}, 14),
        ("face shields", {"adults": 2}, 5),
        ("face shields", {"adults": 0, "torches": 0, "stations": 2}, 3),
        ("dark filters", {"torches": 2}, 3),
        ("heat gauntlets", {"stations": 3}, 7),
        ("nitrile gloves", {"learners": 12}, 24),
        # "one, and one for two torches": 1 + 1 for one, 1 + 2 for three
        ("multi-purpose", {"torches": 1}, 2),
        ("multi-purpose", {"torches": 3}, 3),
        ("fire blanket", {"stations": 5}, 2),
        ("first-aid box", {"learners": 23, "adults": 2}, 1),
        ("first-aid box", {"learners": 24, "adults": 2}, 2),
        ("adult", {"learners": 12}, 2),
        ("adult", {"learners": 41}, 3),
    ],
)
def test_the_kit_is_counted_for_the_class(item, numbers, count):
    assert needed(item, **numbers) == count


def test_a_number_that_nobody_recorded_is_asked_for_not_taken_as_none():
    assert needed("safety glasses", learners=12, adults=None) is None
    assert needed("masks", learners=None, adults=2) is None
    assert needed("nitrile gloves", learners=12, adults=None) == 24


def test_the_sheet_counts_the_students_of_the_class(plan_24):
    StudentFactory.create_batch(3, course=plan_24.day.course)
    text = " ".join(pages_of(render(teacher_safety_html(job_of(plan_24)))))
    # 3 students, the 2 adults of the record, 2 spare.
    assert "Counted for: students 3, adults 2" in text
    assert "7 safety glasses with side shields" in text


def test_limits_stand_beside_their_source_and_say_if_it_is_memory():
    rows = limits_by_id({"always", "zinc"})
    # OSHA 29 CFR 1910.1053(c): 50 ug/m3 over 8 h; 1910.1000 Table Z-1: zinc oxide fume 5 mg/m3.
    assert (rows["SL-AIR-001"]["value"], rows["SL-AIR-001"]["unit"]) == ("50", "µg/m³")
    assert "1910.1053(c)" in rows["SL-AIR-001"]["source"]
    assert (rows["SL-AIR-010"]["value"], rows["SL-AIR-010"]["unit"]) == ("5", "mg/m³")
    # EH40 for carbon monoxide is from memory and says so.
    assert rows["SL-AIR-021"]["status"] == "memory" and rows["SL-AIR-021"]["source"].startswith("memory")


def test_every_limit_and_thing_has_a_source_or_basis_and_a_status():
    limits = json.loads((FIXTURES / "safety_limits.json").read_text("utf-8"))["limits"]
    kit = json.loads((FIXTURES / "safety_kit.json").read_text("utf-8"))["kit"]
    assert all(row["source"] and row["status"] in {"published", "memory", "computed"} for row in limits)
    assert len({row["id"] for row in limits}) == len(limits)
    known = {"learners", "adults", "torches", "stations", "plus", "least"}
    assert all(row["basis"] and row["status"] and row["count"].keys() <= known for row in kit)


def test_limits_are_those_of_what_is_used_or_may_be():
    recorded = SafetyRecord(melter="electric", fuel="lpg", oxygen=False, solvents=False, old_fibre=False)
    assert used_of(recorded, [{"Ag": 92.5, "Cu": 7.5}]) == {"always", "silver", "copper"}
    unknown = used_of(SafetyRecord(), [{"Cu": None}])
    assert unknown == {
        "always", "zinc", "copper", "nickel", "silver", "solvent", "fibre", "torch", "acetylene", "oxygen"
    }  # fmt: skip
    assert "SL-AIR-041" in limits_by_id({"solvent"}) and "SL-AIR-041" not in limits_by_id({"always"})


def test_gates_of_the_day_have_a_box_a_basis_and_room_for_a_name(day, teacher):
    handed_in(day)
    page = teacher_safety_html(job_of(make_plan(day, by=teacher)))
    gates = page.partition('class="gates"')[2].partition("</table>")[0]
    for gate in ("Flask dry and hot", "Button dark", "Gauge at 28 inHg or more", "Torch leak-tested today"):
        assert re.search(rf'<tr><td class="box"></td><td><b>{gate}[^<]*</b>[^<]*</td><td class="basis">[^<]+</td>'
                         r'<td class="write"></td></tr>', gates), gate  # fmt: skip
    assert [gates.index(when) for when in ("Before the kiln", "Before each pour", "Before the quench")] == sorted(
        gates.index(when) for when in ("Before the kiln", "Before each pour", "Before the quench")
    )


def test_each_check_is_asked_once_and_a_reminder_is_not_ticked():
    def of(id, text):
        rule = rulebook().rules[id]
        return ShownCaution(
            id, rule.level, rule.when, text, rule.basis, text, rule.signs, rule.clearable, check=rule.check
        )

    brass, bronze = of("fan-running", "Keep the fan on for brass."), of("fan-running", "Keep the fan on for bronze.")
    said = of("one-pour", "Pour one flask at a time.")
    ((_title, (gate,)),) = gates_of([brass, bronze, said])
    assert gate.check == "Fume fan running." and [one.caution for one in gate.asked_by] == [brass, bronze]
    # The handout says it in the box on every day, so the teacher's sheet need not.
    assert reminders_of([said, brass]) == [] and reminders_of([of("R-38", "Read the sheet.")])


def test_a_class_that_nobody_has_joined_is_asked_for(plan_24):
    page = teacher_safety_html(job_of(plan_24))
    assert re.search(r"students</?[^>]*> *<b>not recorded, ask|students <b>not recorded, ask", page)


def test_what_is_open_is_a_list_and_what_holds_the_plan_back_stands_first(plan_24):
    SafetyRecord.objects.filter(school=plan_24.day.course.school).delete()
    page = teacher_safety_html(job_of(plan_24))
    assert page.index("These stop the plan") < page.index("Stop points of the day")
    assert "Is there an eyewash?" in page and "Emergency number and the address to say" in page
    assert "adults</strong>" not in page and "<b>not recorded, ask</b>" in page


def test_what_was_cleared_says_by_whom_and_why(plan_24):
    SafetyRecord.objects.filter(school=plan_24.day.course.school).update(leak_test=None)
    stop = next(one for one in OpenedPlan(plan_24).cautions if one.id == "R-16b")
    assert stop.text in teacher_safety_html(job_of(plan_24)).partition("Cleared, by whom")[0].replace("&#x27;", "'")
    CautionCleared.objects.create(
        day=plan_24.day, caution="R-16b", text=stop.text, by="Imre Valdane", reason="Soap test"
    )
    gates, _heading, after = teacher_safety_html(job_of(plan_24)).partition("Cleared, by whom")
    assert "Cleared by Imre Valdane: Soap test" in after and stop.text not in gates.replace("&#x27;", "'")


def test_doubts_are_visible_and_nothing_is_promised(plan_24):
    page = teacher_safety_html(job_of(plan_24))
    assert "From memory, check before print" in page and "A figure under a limit proves nothing" in page
    words = re.sub(r"<[^>]*>", " ", page).lower()
    assert not re.search(r"\b(safe|safely|approved|complies|guaranteed?|harmless|risk free)\b", words)


def test_the_heading_of_the_kit_stands_on_the_page_of_its_first_rows(plan_24, monkeypatch):
    raised = OpenedPlan(plan_24).cautions
    (warned, *_others) = [one for one in raised if one.level is Level.WARN]
    on_first = set()
    for more in (22, 24):  # Without the rule the last leaves the heading at the foot of the first page.
        added = [replace(warned, text=f"Look at this before the day, number {nth}.") for nth in range(more)]
        monkeypatch.setattr(OpenedPlan, "cautions", (*raised, *added))
        pages = pages_of(render(teacher_safety_html(job_of(plan_24))))
        (page,) = [text for text in pages if "Counted for" in text]
        assert "how many what kind" in page and "safety glasses" in page
        on_first.add(page == pages[0])
    assert on_first == {True, False}


def test_the_fan_is_asked_for_once_with_all_its_metals(day, teacher, student):
    for key in ("brass", "nickel-white-14k"):
        alloy = Alloy.objects.get(school=day.course.school, key=key)
        day.alloys.add(alloy)
        handed_in(day, student, alloy=alloy)
    SafetyRecord.objects.filter(school=day.course.school).update(melt_extraction=True)
    text = words_of(render(teacher_safety_html(job_of(make_plan(day, teacher)))))
    assert text.count("Step back from white smoke and tell the teacher.") == 1
    assert "Each contains zinc, or its recipe is not recorded. Step back" in text
