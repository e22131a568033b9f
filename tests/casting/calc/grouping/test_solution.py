"""Solutions are values: the same flasks are the same solution, so that they can be looked up and compared."""

from casting.calc.grouping.solution import Candidate, Flask


def test_the_same_waxes_in_the_same_size_are_the_same_flask():
    one, other = Flask("64x64", frozenset(["w1", "w2"])), Flask("64x64", frozenset(["w2", "w1"]))
    assert len({one, other}) == 1
    assert Candidate((one,), frozenset()) == Candidate((other,), frozenset())


def test_a_flask_is_neither_held_nor_fixed_unless_said():
    flask = Flask("64x64", frozenset(["w1"]))
    assert (flask.label, flask.fixed) == ("", False)
    assert flask != Flask("64x64", frozenset(["w1"]), fixed=True)
