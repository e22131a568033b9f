"""What changed, in words."""

from casting.presenters.changes import moved


def test_what_stayed_is_left_out():
    values = [("weight", "3.10 g", "3.20 g"), ("metal", "bronze", "bronze"), ("stones", "none", "one")]
    assert moved(values) == "weight 3.10 g, was 3.20 g; stones none, was one"
    assert moved([]) == moved([("metal", "bronze", "bronze")]) == ""
