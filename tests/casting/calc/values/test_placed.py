from casting.calc.values.day_plan import Place
from casting.calc.values.placed import PlacedFlask, PlacedWax, placed_as_planned
from tests.days.day_file import a_day_file, planned_day, wax_row

AT = Place(1.0, 2.0, 30.0)


def test_a_flask_is_laid_out_if_it_is_whole_and_every_wax_has_a_spot():
    both = (PlacedWax("w1", AT), PlacedWax("w2", AT))
    assert PlacedFlask("A", "51x64", both).is_laid_out
    assert not PlacedFlask("A", "51x64", both, whole=False).is_laid_out
    assert not PlacedFlask("A", "51x64", (*both, PlacedWax("w3"))).is_laid_out


def test_spots_are_those_that_were_given():
    flask = PlacedFlask("A", "51x64", (PlacedWax("w1", AT), PlacedWax("w2")))
    assert (flask.keys, flask.spots) == ({"w1", "w2"}, {"w1": AT})


def test_a_plan_s_flasks_are_given_back_whole_at_their_spots():
    plan = planned_day(a_day_file([wax_row("w1"), wax_row("w2")]))
    placed = placed_as_planned(plan.flasks)
    assert [flask.label for flask in placed] == [flask.label for flask in plan.flasks]
    assert all(flask.is_laid_out for flask in placed)
    assert {key: at for flask in placed for key, at in flask.spots.items()} == {
        key: at for flask in plan.flasks for key, at in flask.places.items()
    }
