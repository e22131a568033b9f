"""Wrong values for every field of every thing, several at once: each refused at its own field, nothing stored.

The school reads inches, Fahrenheit and pennyweights, so that no refusal may speak of mm, Celsius or grams where its
field is in another unit.
"""

import re

import pytest
from django.apps import apps
from django.urls import reverse

from casting.forms.safety import SafetyForm
from casting.forms.shelf import boxes
from casting.forms.shelf.form import ThingForm, box_name
from casting.models import HouseRules, SafetyRecord
from casting.presenters.shelf_page import KINDS
from casting.selectors.shelf import house_rules
from school.forms.school_page import SchoolForm
from school.forms.versioned import boxes_of, seen_as
from tests.casting_factories import typed
from tests.factories import StudentFactory

AT_LEAST = 100
NUMBERS = ("-3", "five", "1.2.3")
BY_BOX = {
    boxes.NumberBox: NUMBERS,
    boxes.WholeBox: ("-3", "five", "1.5"),
    boxes.ChoiceBox: ("shrub", "", "-3"),
    boxes.YesNoBox: ("perhaps", "-3", "2"),
}
"""What no box of a kind takes, a value for each round."""
BEYOND = (
    # What can be read and no bench has, in the units of this school; the limits are those of casting/PLAN_FILE.md.
    ("metals", {"specific_gravity": "23", "pour_c": "9999", "price_per_g": "1,2,3"}),
    ("metals", {"composition_pct-0-sign": "Xx"}),
    ("metals", {"pour_c": "1500"}),  # sterling is liquid at 893 C, 1639 F
    ("flasks", {"diameter_mm": "10", "height_mm": "48", "count": "10001", "waxes_max": "0"}),
    ("flasks", {"sleeve_mm": "3"}),  # a solid flask has none
    ("flasks", {"outside_mm": "1"}),  # 2 in inside
    ("kilns", {"width_mm": "200", "max_ramp_c_per_h": "1", "max_c": "9000", "cool_c_per_h": "1"}),
    ("firings", {"max_diameter_mm": "0", "max_height_mm": "99", "segments-2-to_c": "9999"}),
    ("firings", {"segments-2-to_c": "1500"}),  # hotter than the powder takes
    ("powders", {"water_per_100": "51", "working_min": "0", "specific_gravity": "0.1", "max_c": "9000"}),
    ("waxes", {"specific_gravity": "2.1"}),
    ("rules", {"torches": "0", "hands": "0", "crucible_fill_pct": "101", "sections_may_differ_by": "4"}),
)
OTHER_UNIT = re.compile(r"\d\s?(mm|°C|C)\b")


@pytest.fixture
def here(school, day):
    """The school of a casting day, with its own units."""
    school.length_unit, school.temperature_unit, school.weight_unit = "in", "F", "dwt"
    school.save()
    StudentFactory(course=day.course, called="Ana Reyes")
    return school


def stored():
    """Every row of the school, its sessions left out."""
    models = [model for name in ("casting", "school") for model in apps.get_app_config(name).get_models()]
    return {model.__name__: list(model._default_manager.order_by("pk").values()) for model in models}


def of_shelf(school):
    """Three rounds of every thing on the shelf, and one of what can be read and is refused all the same."""
    things = [(slug, kind.model.objects.filter(school=school).first()) for slug, kind in KINDS.items()]
    for slug, row in [*things, ("rules", house_rules(school) or HouseRules(school=school, key="house", name="Rules"))]:
        address = reverse("house_rules") if slug == "rules" else reverse("thing", args=[slug, row.pk])
        form = ThingForm(None, row=row)
        shown = form.stored | {"version": str(row.version), "seen": form.seen()}
        for nth in range(3):
            wrong = dict(_wrong_at_boxes(form, nth))
            if "name" in form.fields:
                wrong["name"] = ("", "N" * 81, " ")[nth]
            yield slug, address, shown, wrong
        for _slug, wrong in (one for one in BEYOND if one[0] == slug):
            yield slug, address, shown, wrong


def _wrong_at_boxes(form, nth):
    """A wrong text for the first line of every column that can have one."""
    for column in form.columns:
        for part in form.lines[column.name][0].parts:
            kind = type(column.box_of(part))
            if kind in BY_BOX and (kind is not boxes.ChoiceBox or BY_BOX[kind][nth]):
                yield box_name(column, part), BY_BOX[kind][nth]


def of_school(school):
    shown = {name: (texts or [""])[0] for name, texts in boxes_of(SchoolForm(None, school=school)).items()}
    shown |= {"version": str(school.version), "seen": "{}"}
    for wrong in (
        {"name": "", "zone": "Mars/Base", "elevation": "99999", "weight_unit": "stone", "currency": "us$"},
        {"name": "N" * 121, "town": "T" * 121, "zone": "", "elevation": "high", "temperature_unit": "K", "paper": "A9"},
        {"zone": "UTC+25", "length_unit": "cubit", "currency": "DOLLARS", "elevation_unit": "mi"},
    ):  # fmt: skip
        yield "school", reverse("school_page"), shown, wrong


def of_day(day):
    shown = {
        "course": str(day.course_id),
        "pour_on": "2027-05-01",
        "pour_time": "10:00",
        "alloys": [day.alloys.first().pk],
    }
    shown |= {"all_sizes": "on", "all_kilns": "on"}
    change = shown | {"version": str(day.version), "seen": "{}"}
    for wrong in (
        {"course": "999999", "pour_on": "soon", "pour_time": "25:00", "alloys": ["999999"], "opens": "early"},
        {"course": "", "pour_on": "2027-02-30", "pour_time": "ten", "alloys": [], "hand_in_until": "noon"},
        {"pour_on": "2020-01-01", "closes_time": "24:61", "closes": "late", "on_call": "C" * 121},
        {"pour_on": "2999-01-01", "closes_on": "never"},
    ):
        yield "new day", reverse("new_day"), shown, wrong
    for wrong in ({"gloss_off_min": "0", "pour_time": ""}, {"gloss_off_min": "61"}, {"gloss_off_min": "soon"}):
        yield "day", reverse("change_day", args=[day.pk]), change, wrong


def of_weigh_in(day):
    shown = typed(day, student=str(day.course.students.first().pk), width_mm="0.9", depth_mm="0.3", height_mm="1.3")
    for wrong in (
        {"student": "", "what": "", "weight": "-1", "width_mm": "16", "depth_mm": "-1", "height_mm": "tall",
         "section": "fat", "alloy": "999999", "pattern": "999999", "on_base": "maybe", "stones": "glass",
         "second_alloy": "999999", "note": "N" * 201, "thick_parts": "9", "thickest_mm": "wide"},
        {"student": "999999", "what": "W" * 81, "weight": "heavy", "width_mm": "0", "depth_mm": "22 cm",
         "height_mm": "1.2.3", "section": "", "alloy": "", "pattern": "", "on_base": "", "thickest_mm": "0"},
        {"unit": "stone", "weight": "", "width_mm": "", "depth_mm": "", "height_mm": "", "sprue_pattern": "999999"},
    ):  # fmt: skip
        yield "weigh-in", reverse("weigh_in", args=[day.pk]), shown, wrong


def of_safety(school):
    record = SafetyRecord.objects.get(school=school)
    form = SafetyForm(instance=record)
    shown = {name: (texts or [""])[0] for name, texts in boxes_of(form).items()}
    shown |= {"version": str(record.version), "seen": seen_as(boxes_of(form))}
    counts = [name for name, field in form.fields.items() if "IntegerField" in type(field).__name__]
    lists = [name for name, field in form.fields.items() if type(field).__name__ == "TypedChoiceField"]
    assert len(counts) > 3 and len(lists) > 3
    for number, word in (("-3", "wood"), ("many", "-3"), ("99999999", "yes and no")):
        yield "safety", reverse("safety"), shown, dict.fromkeys(counts, number) | dict.fromkeys(lists, word)
    yield "safety", reverse("safety"), shown, {"pump_best": "-3"}
    yield "safety", reverse("safety"), shown, {"pump_best": "strong"}


def refused_at(page):
    """The errors of a page's form by field."""
    return {name: " ".join(map(str, said)) for name, said in page.context["form"].errors.items()}


def test_wrong_values_are_each_refused_at_their_field_and_none_is_stored(here, day, teacher_client, capsys):
    before, pairs = stored(), set()
    for rounds in (of_shelf(here), of_school(here), of_day(day), of_weigh_in(day), of_safety(here)):
        for thing, address, shown, wrong in rounds:
            assert wrong, thing
            page = teacher_client.post(address, shown | wrong)
            assert page.status_code == 422, (thing, wrong)
            said = refused_at(page)
            accepted = wrong.keys() - said.keys()
            assert not accepted, (thing, {name: wrong[name] for name in accepted}, said)
            assert not said.keys() - wrong.keys(), (thing, said)  # nobody else's field is blamed
            for name, text in said.items():
                assert not OTHER_UNIT.search(text.replace(str(wrong[name]), "")), (thing, name, text)
            pairs |= {(thing, name, str(text)) for name, text in wrong.items()}
    pairs |= wrong_lines(here, day, teacher_client)
    assert stored() == before
    with capsys.disabled():
        print(f"\n{len(pairs)} wrong values of {len({pair[:2] for pair in pairs})} fields, each refused at its field")
    assert len(pairs) >= AT_LEAST


LINES = ["7", "7 heavy", "8 -1", "9 0", "10 999", "eleven-a 4", "12 4.1.2", "13 3 g"]
NAMES = ["N" * 81, "Tobiah Renn", "\u200b"]


def wrong_lines(school, day, client):
    """Lists: every line that is wrong is told by its number, and no line of the list is kept."""
    page = client.post(reverse("rubber_bases"), {"bases": "\n".join(["1 8", *LINES])})
    told = page.context["form"].errors["bases"]
    assert page.status_code == 422
    assert [one.partition(":")[0] for one in told] == [f"Line {nth}" for nth in range(2, len(LINES) + 2)]
    names = {"names": "\n".join(["Tobiah Renn", *NAMES]), "do": "add"}
    rows = client.post(reverse("roster", args=[day.course_id]), names).context["rows"]
    assert [row.number for row in rows if row.state == "wrong"] == list(range(2, len(NAMES) + 2))
    assert all(row.remark for row in rows if row.state == "wrong")
    return {("rubber bases", "bases", line) for line in LINES} | {("roster", "names", name) for name in NAMES}


def test_the_same_pages_take_right_values(here, day, teacher_client):
    pages = {
        thing: (address, shown)
        for rounds in (of_shelf, of_school, of_safety)
        for thing, address, shown, _wrong in rounds(here)
    }
    pages |= {thing: (address, shown) for thing, address, shown, _wrong in of_day(day)}
    assert len(pages) == len(KINDS) + 5
    for thing, (address, shown) in pages.items():
        assert teacher_client.post(address, shown).status_code == 302, thing
