"""How far a school is with its set-up."""

from casting.services import set_up


def test_a_step_is_noted_once(school):
    for _time in range(2):
        set_up.look_at(school, "flasks")
    set_up.look_at(school, "kilns")
    school.refresh_from_db()
    assert school.set_up_steps == ["flasks", "kilns"]


def test_it_is_put_away_and_taken_up_again(school):
    set_up.end(school)
    school.refresh_from_db()
    first = school.set_up_ended_at
    assert first is not None
    set_up.end(school)
    school.refresh_from_db()
    assert school.set_up_ended_at == first
    set_up.take_up(school)
    school.refresh_from_db()
    assert school.set_up_ended_at is None
