from casting.forms.defects import DefectForm
from tests.casting_factories import handed_in


def test_only_pieces_that_are_cast_may_be_chosen_by_tag_student_and_name(day, student):
    cast, waiting = handed_in(day, student, what="leaf ring"), handed_in(day, student)
    form = DefectForm(pieces=[cast])
    labels = [label for _value, label in form.fields["piece"].choices]
    assert labels == ["choose", f"{cast.tag}: {student.with_spelling}, leaf ring"]
    posted = {"piece": waiting.tag, "kind": "rough", "where": "thin"}
    assert DefectForm(posted, pieces=[cast]).errors["piece"] == ["No such piece on this day. Choose one of the list."]
    assert DefectForm(posted | {"piece": cast.tag}, pieces=[cast]).is_valid()
