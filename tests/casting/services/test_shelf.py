"""Changing the shelf: who typed what, places in the list, and what is put away."""

import pytest

from casting.models import Alloy, FlaskSize, Investment, Kiln
from casting.services.shelf import ChangedMeanwhile, NotMoved, add, change, move, put_away, take_out
from casting.services.stock import stock_school


@pytest.fixture
def sterling(school):
    stock_school(school)
    return Alloy.objects.get(school=school, key="sterling")


def places(school):
    return list(FlaskSize.objects.filter(school=school).order_by("place").values_list("key", flat=True))


def test_a_changed_figure_says_who_typed_it_and_the_others_keep_their_source(sterling, teacher):
    before = sterling.sources
    saved = change(sterling, {"pour_c": 985}, 1, teacher)
    saved.refresh_from_db()
    assert saved.pour_c == 985 and saved.version == 2
    assert saved.sources["pour_c"]["source"].startswith("typed by the school (Imre Valdane), 20")
    assert saved.sources["liquidus_c"] == before["liquidus_c"]


def test_the_shelf_s_own_value_has_the_shelf_s_source_again(sterling, teacher):
    before = sterling.sources
    change(sterling, {"pour_c": 985, "flask_c": sterling.flask_c | {"thin": [560, 610]}}, 1, teacher)
    changed = Alloy.objects.get(pk=sterling.pk)
    assert changed.sources != before
    back = change(changed, {"pour_c": sterling.pour_c, "flask_c": sterling.flask_c}, 2, teacher)
    assert back.sources == before


def test_what_was_saved_meanwhile_is_not_written_over(sterling, teacher):
    change(sterling, {"pour_c": 985}, 1, teacher)
    with pytest.raises(ChangedMeanwhile):
        change(sterling, {"pour_c": 990}, 1, teacher)
    assert Alloy.objects.get(pk=sterling.pk).pour_c == 985


def test_a_new_row_stands_last_with_a_key_of_its_own(sterling, teacher):
    figures = {name: getattr(sterling, name) for name in Alloy.figures} | {"name": "Sterling"}
    first = add(Alloy(school=teacher.school), figures, teacher)
    second = add(Alloy(school=teacher.school), figures, teacher)
    # the shelf's own row is called sterling already
    assert (first.key, second.key) == ("sterling-2", "sterling-3")
    assert first.place + 1 == second.place == max(Alloy.objects.values_list("place", flat=True))
    assert first.sources["pour_c"]["source"].startswith("typed by the school (Imre Valdane)")


def test_a_row_changes_places_with_its_neighbour_that_is_worked_with(sterling, teacher):
    school = teacher.school
    first, second, third, *_others = places(school)
    put_away(FlaskSize.objects.get(school=school, key=second))
    move(FlaskSize.objects.get(school=school, key=third), earlier=True)
    assert places(school)[:3] == [third, second, first]
    move(FlaskSize.objects.get(school=school, key=third), earlier=True)  # it is the first already
    assert places(school)[:3] == [third, second, first]


def test_what_is_put_away_is_not_deleted_and_comes_back(sterling):
    put_away(sterling)
    assert Alloy.objects.get(pk=sterling.pk).offered is False
    take_out(sterling)
    assert Alloy.objects.get(pk=sterling.pk).offered is True


def test_the_last_of_its_kind_stays(sterling, school):
    powder = Investment.objects.get(school=school)
    with pytest.raises(NotMoved) as told:
        put_away(powder)
    assert "Gypsum is the last of the investments" in told.value.sentence
    assert Investment.objects.get(pk=powder.pk).offered


def test_a_flask_that_is_too_tall_by_now_is_not_taken_out(sterling, school):
    size = FlaskSize.objects.get(school=school, key="102x102")
    put_away(size)
    Kiln.objects.filter(school=school).update(height_mm=120)  # of which 25 mm under and 25 mm over a flask stay free
    with pytest.raises(NotMoved) as told:
        take_out(FlaskSize.objects.get(pk=size.pk))
    assert "no kiln is high enough" in told.value.sentence
    small = FlaskSize.objects.get(school=school, key="51x64")
    put_away(small)
    take_out(FlaskSize.objects.get(pk=small.pk))
    assert FlaskSize.objects.get(pk=small.pk).offered


def test_a_figure_that_is_emptied_has_no_source_any_more(sterling, teacher):
    assert "price_per_g" in sterling.sources
    saved = change(sterling, {"price_per_g": None}, 1, teacher)
    assert "price_per_g" not in saved.sources and "pour_c" in saved.sources
