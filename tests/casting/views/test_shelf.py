"""The pages of the shelf: what each role sees, and what a teacher changes there."""

import pytest
from django.urls import reverse

from casting.forms.shelf.form import ThingForm
from casting.models import Alloy, FlaskSize
from casting.presenters.shelf_page import KINDS
from casting.services.stock import stock_school
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

ROLES = ["student_client", "classmate_client", "stranger_client"]


@pytest.fixture
def stocked(school, course):
    stock_school(school)
    return school


@pytest.fixture
def sterling(stocked):
    return Alloy.objects.get(school=stocked, key="sterling")


def address(row, name="thing"):
    slug = next(kind.slug for kind in KINDS.values() if isinstance(row, kind.model))
    return reverse(name, args=[slug, row.pk])


def opened(row, **typed):
    """What the page of a row posts, with changes."""
    form = ThingForm(None, row=row)
    return form.stored | {"seen": form.seen(), "version": str(row.version)} | typed


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_a_teacher_lists_adds_copies_and_changes_every_kind(kind, stocked, teacher_client):
    row = kind.model.objects.filter(school=stocked, offered=True).first()
    there = kind.model.objects.count()
    page = teacher_client.get(reverse(kind.page)).content.decode()
    assert address(row) in page
    assert (f'href="{reverse("stock")}"' in page) == (kind.page == "metals")
    assert teacher_client.get(reverse("new_thing", args=[kind.slug])).status_code == 200
    copy = reverse("new_thing", args=[kind.slug]) + f"?like={row.pk}"
    assert row.name in teacher_client.get(copy).content.decode()
    assert teacher_client.post(copy, opened(row, name="One more")).status_code == 302
    assert teacher_client.post(address(row), opened(row, name="Renamed")).status_code == 302
    row.refresh_from_db()
    assert row.name == "Renamed" and kind.model.objects.count() == there + 1


@pytest.mark.parametrize("who", ROLES)
def test_nobody_but_a_teacher_opens_or_changes_anything(sterling, who, request):
    client = request.getfixturevalue(who)
    new = reverse("new_thing", args=["metals"])
    for at in (reverse("metals"), reverse("equipment"), new, address(sterling), address(sterling, "move_thing")):
        assert client.get(at).status_code == 302
    assert client.post(address(sterling), opened(sterling, name="Mine")).status_code == 302
    assert client.post(address(sterling, "move_thing"), {"do": "away"}).status_code == 302
    assert client.post(new, opened(sterling)).status_code == 302
    assert Alloy.objects.get(pk=sterling.pk).offered and not Alloy.objects.filter(name="Mine").exists()


def test_a_teacher_of_another_school_finds_nothing(sterling, other_teacher_client):
    there = Alloy.objects.count()
    assert other_teacher_client.get(address(sterling)).status_code == 404
    assert other_teacher_client.post(address(sterling), opened(sterling, name="Mine")).status_code == 404
    assert other_teacher_client.post(address(sterling, "move_thing"), {"do": "away"}).status_code == 404
    assert other_teacher_client.get(reverse("new_thing", args=["metals"]) + f"?like={sterling.pk}").status_code == 404
    assert other_teacher_client.get(reverse("thing", args=["spoons", 1])).status_code == 404
    assert "Sterling" not in other_teacher_client.get(reverse("metals")).content.decode()
    assert Alloy.objects.get(pk=sterling.pk).offered and Alloy.objects.count() == there


def test_a_mistake_is_told_at_its_box_and_nothing_is_stored_or_lost(stocked, teacher_client):
    size = FlaskSize.objects.filter(school=stocked).first()
    answer = teacher_client.post(address(size), opened(size, name="Wide one", diameter_mm="9", count="five"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"diameter_mm", "count"}
    assert 'value="Wide one"' in page and 'value="five"' in page
    size.refresh_from_db()
    assert size.version == 1 and size.name != "Wide one"


def test_a_change_says_who_made_it_and_one_press_puts_the_shelf_s_value_back(sterling, teacher_client):
    teacher_client.post(address(sterling), opened(sterling, pour_c="985"))
    sterling.refresh_from_db()
    page = teacher_client.get(address(sterling)).content.decode()
    assert "Typed by the school (Imre Valdane), 20" in page and "The shelf:" in page
    answer = teacher_client.post(address(sterling), opened(sterling, name="Our sterling", put_back="pour_c"))
    form = answer.context["form"]
    assert (form["pour_c"].value(), form["name"].value()) == ("970", "Our sterling")
    assert Alloy.objects.get(pk=sterling.pk).pour_c == 985  # it is in its box, and saved like anything else
    teacher_client.post(address(sterling), opened(sterling, pour_c="970"))
    assert "Typed by the school" not in teacher_client.get(address(sterling)).content.decode()


def test_the_second_teacher_to_save_sees_what_the_first_changed(sterling, teacher_client):
    late = opened(sterling, pour_c="990")
    teacher_client.post(address(sterling), opened(sterling, price_per_g="1.45"))
    answer = teacher_client.post(address(sterling), late)
    assert answer.status_code == 409
    assert "it was 1.1 and is now 1.45" in answer.content.decode()
    assert "Typed by the school (Imre Valdane), 20" in answer.content.decode()
    form = answer.context["form"]
    assert (form["pour_c"].value(), form["price_per_g"].value()) == ("990", "1.45")
    sterling.refresh_from_db()
    assert sterling.pour_c == 970
    again = {name: form[name].value() or "" for name in form.fields} | {"version": "2", "seen": form.seen()}
    assert teacher_client.post(address(sterling), again).status_code == 302
    sterling.refresh_from_db()
    assert (sterling.pour_c, sterling.price_per_g, sterling.version) == (990, 1.45, 3)


def test_more_rows_come_without_anything_being_checked_or_lost(sterling, teacher_client):
    typed = opened(sterling, name="", more="composition_pct")
    typed |= {"composition_pct-2-sign": "Zn", "composition_pct-3-sign": "Sn"}
    answer = teacher_client.post(address(sterling), typed)
    assert answer.status_code == 200 and not answer.context["form"].errors
    assert "composition_pct-5-sign" in answer.context["form"].fields


def test_a_row_moves_is_put_away_and_comes_out_again(sterling, teacher_client):
    to = address(sterling, "move_thing")
    assert teacher_client.post(to, {"do": "earlier"}).url == reverse("metals")
    assert next(iter(Alloy.objects.order_by("place"))) == sterling
    teacher_client.post(to, {"do": "away"})
    assert not Alloy.objects.get(pk=sterling.pk).offered
    assert "Take out" in teacher_client.get(reverse("metals")).content.decode()
    teacher_client.post(to, {"do": "out"})
    assert Alloy.objects.get(pk=sterling.pk).offered
    assert teacher_client.get(to).url == address(sterling)


def test_the_last_one_is_not_put_away_and_the_page_says_why(stocked, teacher_client):
    powder = KINDS["powders"].model.objects.get(school=stocked)
    answer = teacher_client.post(address(powder, "move_thing"), {"do": "away"}, follow=True)
    assert "is the last of the investments" in answer.content.decode()


def test_a_list_takes_as_many_queries_with_many_rows_as_with_few(
    stocked, teacher_client, django_assert_max_num_queries
):
    with django_assert_max_num_queries(9):
        teacher_client.get(reverse("equipment"))
    sizes = [
        FlaskSize(school=stocked, key=f"s{n}", name=f"s{n}", diameter_mm=60, height_mm=60, count=1) for n in range(40)
    ]
    FlaskSize.objects.bulk_create(sizes)
    with django_assert_max_num_queries(9):
        teacher_client.get(reverse("equipment"))
    with django_assert_max_num_queries(5):
        teacher_client.get(address(FlaskSize.objects.filter(school=stocked).first()))


def test_the_header_leads_there(stocked, teacher_client):
    page = teacher_client.get(reverse("days")).content.decode()
    assert f'href="{reverse("metals")}"' in page and f'href="{reverse("equipment")}"' in page


@pytest.fixture
def planned(day, student, teacher):
    handed_in(day, student)
    make_plan(day, by=teacher)
    return Alloy.objects.get(school=day.course.school, key="sterling")


def test_what_a_change_does_to_a_planned_day_is_said_before_it_is_saved(planned, day, teacher_client):
    answer = teacher_client.post(address(planned), opened(planned, pour_c="985"))
    page = answer.content.decode()
    assert answer.status_code == 200 and day.course.name in page and "out of date: make it again" in page
    assert Alloy.objects.get(pk=planned.pk).pour_c == 970
    sure = opened(planned, pour_c="985", effects=answer.context["effects_seen"])
    assert teacher_client.post(address(planned), sure).status_code == 302
    assert Alloy.objects.get(pk=planned.pk).pour_c == 985


def test_what_is_saved_unchanged_touches_no_plan(planned, teacher_client):
    assert teacher_client.post(address(planned), opened(planned)).status_code == 302
    assert Alloy.objects.get(pk=planned.pk).version == 1


def test_putting_away_asks_first_where_a_planned_day_uses_it(planned, teacher_client):
    size = FlaskSize.objects.filter(school=planned.school).order_by("-place").first()
    to = address(size, "move_thing")
    answer = teacher_client.post(to, {"do": "away"})
    assert answer.status_code == 200 and "Nothing is saved yet" in answer.content.decode()
    assert FlaskSize.objects.get(pk=size.pk).offered
    assert teacher_client.post(to, {"do": "away", "effects": answer.context["seen"]}).status_code == 302
    assert not FlaskSize.objects.get(pk=size.pk).offered
    assert teacher_client.post(to, {"do": "melt"}).status_code == 302


def test_a_past_plan_keeps_what_is_put_away_since(planned, day, teacher_client):
    plan = day.plans.first()
    answer = teacher_client.post(address(planned, "move_thing"), {"do": "away"})
    if answer.status_code == 200:
        teacher_client.post(address(planned, "move_thing"), {"do": "away", "effects": answer.context["seen"]})
    assert not Alloy.objects.get(pk=planned.pk).offered
    plan.refresh_from_db()
    assert "sterling" in {alloy["key"] for alloy in plan.day_values["alloys"]}
    assert teacher_client.get(reverse("flasks", args=[day.pk])).status_code == 200


def test_what_the_parts_come_to_is_said_as_they_are_typed(sterling, teacher_client):
    to = reverse("parts_echo", args=["metals"])
    page = teacher_client.post(to, opened(sterling, **{"composition_pct-1-share": "7"})).content.decode()
    assert "Together 99.5\u202f%." in page
    # the page itself says it too, without a script. elements.json has silver at 10.5 and copper at 8.96:
    # 100 / (92.5 / 10.5 + 7.5 / 8.96) = 10.37, and the 10.36 that is entered is 0.06 % less
    page = teacher_client.get(address(sterling)).content.decode()
    assert "Together 100\u202f%." in page and "10.37" in page and "0.1\u202f% off" in page
    assert teacher_client.post(reverse("parts_echo", args=["kilns"])).status_code == 404
    assert teacher_client.get(to).url == reverse("new_thing", args=["metals"])


def test_nobody_else_hears_of_parts(student_client):
    assert student_client.post(reverse("parts_echo", args=["metals"])).status_code == 302


def test_a_row_that_plans_refuse_is_still_listed_and_can_be_put_right(stocked, teacher_client):
    size = FlaskSize.objects.get(school=stocked, key="51x64")
    FlaskSize.objects.filter(pk=size.pk).update(diameter_mm=400)  # as no page would store it
    assert address(size) in teacher_client.get(reverse("equipment")).content.decode()
    size.refresh_from_db()
    assert teacher_client.get(address(size)).status_code == 200
    assert teacher_client.post(address(size), opened(size, diameter_mm="50.8")).status_code == 302
