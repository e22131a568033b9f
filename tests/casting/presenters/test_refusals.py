"""A day that the site made itself is refused in words of the shelf, with who can change it."""

import html
import json

import pytest
from django.urls import reverse
from django.utils.translation import override

from casting.calc.values.errors import Refused
from casting.dayfile import read
from casting.dayfile.validation import celsius, key_named, millimetres, refusal, said, too_hot
from casting.models import Alloy, Firing, FlaskSize, WaxHold
from casting.models.errors import NotPlanned
from casting.presenters.formats import SchoolUnits
from casting.presenters.refusals import refusal_of, said_at_box
from casting.selectors.day_file import day_file_of
from casting.services.flasks import fix_flask
from casting.units import Length, Mass, Temperature
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

EQUIPMENT, METALS = "Change it on the page Equipment.", "Change it on the page Metals."


def refused(day_file):
    """What is said of a day file that cannot be read."""
    with pytest.raises(Refused) as refusal:
        read(day_file)
    return refusal_of(refusal.value, json.loads(day_file), SchoolUnits())


def said_of(day):
    with pytest.raises(NotPlanned) as refusal:
        make_plan(day, day.maker)
    return refusal.value.sentence


@pytest.fixture
def day(day, teacher):
    """A day with one wax, and who plans it."""
    handed_in(day)
    day.maker = teacher
    return day


def test_a_flask_of_400_mm_is_named_by_its_size_and_field_on_both_pages(day, teacher_client):
    FlaskSize.objects.filter(school=day.course.school, key="64x64").update(diameter_mm=400)
    said = (
        "Flask size 64x64, inside diameter: 400\u202fmm is entered, but it must be at least 20\u202fmm and at most "
        f"250\u202fmm; give the inside diameter in mm. {EQUIPMENT}"
    )
    assert said_of(day) == said
    page = teacher_client.get(reverse("waxes", args=[day.pk])).content.decode()
    assert said in html.unescape(page) and "flask_sizes[" not in page


def test_a_metal_is_changed_on_its_own_page(day):
    Alloy.objects.filter(school=day.course.school, key="sterling").update(pour_c=800)
    assert said_of(day).endswith(METALS)


def test_what_lies_deep_in_a_row_is_counted_from_one(day):
    firing = Firing.objects.filter(school=day.course.school, offered=True).order_by("place", "key").first()
    firing.segments[1]["to_c"] = 1350
    firing.save()
    assert f"Firing {firing.key}, ramps and holds, number 2, its heat: 1350\u202f°C is too hot" in said_of(day)


def test_a_metal_has_its_name_a_rule_its_words_and_the_day_its_page(day):
    Alloy.objects.filter(school=day.course.school, key="sterling").update(specific_gravity=1036)
    assert said_of(day).startswith("Metal Sterling silver, specific gravity: 1036 is entered, but ")
    file = json.loads(day_file_of(day))
    alloys = [one | {"specific_gravity": 10.36} if one["key"] == "sterling" else one for one in file["alloys"]]
    file |= {"alloys": alloys}
    assert refused(json.dumps(file | {"rules": {"wall_mm": -1}})).startswith(
        "House rules, wax to flask wall, at least: -1\u202fmm is entered"
    )
    hours = {"opens": "20:00", "closes": "08:00"}
    assert refused(json.dumps(file | {"hours": hours})).endswith("Change it on the page Change the day.")
    assert refused(json.dumps(file | {"elevation_m": 20000})).endswith("Change it on the page School.")
    (wax,) = file["waxes"]
    heavy = refused(json.dumps(file | {"waxes": [wax | {"wax_g": 400}]}))
    assert heavy.startswith(
        f"Wax {wax['key']}, weight, no rubber: 400\u202fg is entered, but a solid block of its size"
    )
    assert heavy.endswith("Its student can change it under My waxes, you on its page.")


def test_an_invested_flask_whose_size_is_gone_says_so(day):
    plan = make_plan(day, day.maker)
    fix_flask(day, "A", "invested", by=day.maker)
    FlaskSize.objects.filter(school=day.course.school).update(offered=False)
    said = said_of(day)
    assert said.startswith("Flask A is invested, but its size is put away.")
    assert "Take it out again on the page Equipment" in said and "previous" not in said and plan.revision == 1


def test_a_wax_that_was_held_against_a_flask_on_the_bench_says_what_to_do(day):
    make_plan(day, day.maker)
    fix_flask(day, "A", "invested", by=day.maker)
    wax, other = day.waxes.get(), handed_in(day)
    held = WaxHold.objects.create(wax=wax, label="B")
    assert said_of(day) == (
        f"Wax {wax.tag} is in flask A, which is invested, but you keep it in flask B. Empty its field on the page "
        "Waxes, then make the plan again."
    )
    held.delete()
    WaxHold.objects.create(wax=other, label="A")
    assert said_of(day).startswith(f"You keep wax {other.tag} in flask A, which is invested without it. Keep it in ano")


def test_a_line_that_names_no_place_of_ours_stays_as_it_is():
    assert refusal_of(Refused("file", "it is no JSON"), {}, SchoolUnits()) == "file: it is no JSON"
    assert refusal_of(Refused.from_line("It broke."), {}, SchoolUnits()) == "It broke."


def test_a_day_is_refused_in_the_reader_s_language_and_the_school_s_units(day):
    file = json.loads(day_file_of(day))
    size = file["flask_sizes"][0]
    with pytest.raises(Refused) as wide:
        read(json.dumps(file | {"flask_sizes": [size | {"diameter_mm": 400}]}))
    with override("es"):
        # 20 mm is 0.787 in, 250 mm 9.843 in, 400 mm 15.748 in
        assert refusal_of(wide.value, file, OTHER) == (
            f"Tamaño de cilindro {size['name']}, diámetro interior: Aquí pone 15,748\u202fin, pero tiene que ser como "
            "mínimo 0,787\u202fin y como máximo 9,843\u202fin; escribe el diámetro interior en pulgadas. Cámbialo en "
            "la página Equipo."
        )


def test_a_refusal_crosses_from_the_child_with_its_words():
    refused = too_hot("flask_c.thin[0]", 1200, 704, "a flask", "Look it up")
    crossed = Refused.from_line(refused.to_line())
    assert str(crossed) == str(refused) and crossed.marked.words == refused.marked.words
    with override("es"):
        assert said_at_box(crossed, SchoolUnits()).startswith(
            "1200\u202f°C es demasiado calor para un cilindro (704\u202f°C)."
        )


OTHER = SchoolUnits(Mass.PENNYWEIGHT, Temperature.FAHRENHEIT, Length.INCH)


# 50.8 mm is 2 in; 893 C is 893 * 1.8 + 32 = 1639.4 F; 704 C is 1299.2 F; 1200 C is 2192 F, and 1200 F is 648.9 C
@pytest.mark.parametrize(
    ("refused", "metric", "other"),
    [
        (
            refusal("outside_mm", 25.4, f"it is smaller than the inside, {millimetres(50.8)}", "measure both"),
            "25.4\u202fmm is entered, but it is smaller than the inside, 50.8\u202fmm; measure both.",
            "1\u202fin is entered, but it is smaller than the inside, 2\u202fin; measure both.",
        ),
        (
            refusal("pour_c", 800, f"the liquidus is {celsius(893)}", f"look at the {key_named('hub_mm')}"),
            "800\u202f°C is entered, but the liquidus is 893\u202f°C; look at the width of the cone.",
            "1472\u202f°F is entered, but the liquidus is 1639\u202f°F; look at the width of the cone.",
        ),
        (
            too_hot("flask_c.thin[0]", 1200, 704, "a flask", "Look it up"),
            "1200\u202f°C is too hot for a flask (704\u202f°C). Did you mean 1200\u202f°F, which is 649\u202f°C?",
            "2192\u202f°F is too hot for a flask (1299\u202f°F). Look it up again.",
        ),
        (
            refusal("kinds", [], "it is empty", said("write a list", "tick one")),
            "This is entered, but it is empty; tick one.",
            "This is entered, but it is empty; tick one.",
        ),
    ],
)
def test_a_refusal_at_its_box_is_in_the_school_s_units(refused, metric, other):
    assert said_at_box(refused, SchoolUnits()) == metric
    assert said_at_box(refused, OTHER) == other
