"""Labels that keep as many waxes as possible where they were, worked by hand."""

from itertools import islice

from casting.calc.grouping.labels import assign_labels, letters, moved_waxes
from casting.calc.grouping.solution import Flask
from casting.calc.values.day_input import Previous
from tests.days.day_input import a_day, a_wax


def flask(*keys, label=""):
    return Flask("64x64", frozenset(keys), label)


def a_day_before(**flasks):
    waxes = sorted({key for keys in flasks.values() for key in keys})
    previous = {label: Previous("64x64", tuple(keys)) for label, keys in flasks.items()}
    return a_day([a_wax(key) for key in waxes], previous=previous)


def test_letters_go_on_after_z():
    assert list(islice(letters(), 25, 28)) == ["Z", "AA", "AB"]


def test_without_a_plan_before_labels_are_letters_in_order():
    assert assign_labels((flask("w1"), flask("w2", label="B"), flask("w3")), a_day([])) == ["A", "B", "C"]


def test_flasks_keep_the_labels_of_most_of_their_waxes():
    day = a_day_before(A=["w1", "w2"], B=["w3"])
    assert assign_labels((flask("w3"), flask("w1", "w2")), day) == ["B", "A"]


def test_labels_are_matched_for_all_flasks_at_once():
    # w1 to w4 have two waxes in common with A and with B, w5 one with A. Were the first given A, w5 would have to
    # move too: 2 stay. With B for the first and A for the second, 3 stay.
    day = a_day_before(A=["w1", "w2", "w5"], B=["w3", "w4"])
    flasks = (flask("w1", "w2", "w3", "w4"), flask("w5"))
    assert assign_labels(flasks, day) == ["B", "A"]


def test_a_held_label_is_not_given_twice():
    day = a_day_before(A=["w1", "w2"])
    assert assign_labels((flask("w1", label="A"), flask("w2")), day) == ["A", "B"]


def test_waxes_moved_are_those_in_both_plans_under_other_labels():
    day = a_day_before(A=["w1", "w2"], B=["w3"])
    assert moved_waxes({"w1": "A", "w2": "B", "w4": "B"}, day) == ("w2",)  # w3 is withdrawn, w4 is new
