"""What a form carries of what it showed, and what a second teacher is told and keeps."""

from django import forms
from django.http import QueryDict

from school.forms.versioned import boxes_of, saved_by, seen_as, since, version_in


class Page(forms.Form):
    at = forms.TimeField(label="First pour", required=False, widget=forms.TimeInput(format="%H:%M"))
    metal = forms.MultipleChoiceField(
        label="Metals",
        required=False,
        choices=[("s", "Sterling"), ("b", "Bronze")],
        widget=forms.CheckboxSelectMultiple,
    )
    every = forms.BooleanField(label="All kilns", required=False)
    called = forms.CharField(label="On call", required=False)


def shown(**initial):
    return Page(initial=initial)


def posted(seen, **boxes):
    data = QueryDict(mutable=True)
    data["seen"] = seen
    for name, texts in boxes.items():
        data.setlist(name, texts)
    return data


def told(found):
    return [(one.label, one.before, one.now, one.both) for one in found.moved]


def test_a_version_is_a_whole_number_or_none():
    assert version_in(QueryDict("version=3")) == 3
    for wrong in ("", "version=", "version=-1", "version=x", "version=99999999999", "version=²"):
        assert version_in(QueryDict(wrong)) == -1


def test_boxes_are_what_a_browser_sends():
    boxes = boxes_of(shown(at="10:00", metal=["s", "b"], every=True))
    assert boxes == {"at": ["10:00"], "metal": ["b", "s"], "every": ["on"], "called": []}


def test_what_was_left_alone_takes_what_is_saved_and_what_was_typed_stays():
    seen = seen_as(boxes_of(shown(at="10:00", metal=["s"], every=True)))
    mine = posted(seen, at=["10:00"], metal=["s", "b"], called=["Imre"])  # the tick of `every` taken away
    found = since(mine, shown(at="14:00", metal=["b"], every=True, called="Marit"), saved_by("Marit Oslund"))
    assert found.data.getlist("at") == ["14:00"] and found.data.getlist("metal") == ["s", "b"]
    assert found.data.getlist("every") == [] and found.data["called"] == "Imre"
    assert told(found) == [
        ("First pour", "10:00", "14:00", False),
        ("Metals", "Sterling", "Bronze", True),
        ("On call", "", "Marit", True),
    ]
    assert {one.who for one in found.moved} == {"Saved by Marit Oslund"}


def test_a_tick_is_yes_or_no_and_a_label_can_be_told_in_full():
    found = since(
        posted(seen_as({"every": ["on"]}), every=["on"]), shown(every=False), saved_by(""), {"every": "Kilns: all"}
    )
    assert told(found) == [("Kilns: all", "yes", "no", False)] and found.moved[0].who == ""
    assert found.data.getlist("every") == []


def test_a_post_that_carries_nothing_goes_on_from_what_is_saved():
    for seen in ("", "[1]", "{", '{"at": 3}'):
        found = since(posted(seen), shown(at="14:00", every=True), saved_by("Marit Oslund"))
        assert found.moved == [] and found.data["at"] == "14:00" and found.data["every"] == "on"


class Table(forms.Form):
    """Two boxes of one row, as a page of the shelf has them, and the version that the page carries for it."""

    row_version = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, data=None, initial=None):
        super().__init__(data, initial=initial)
        for name in ("parts-0-sign", "parts-0-share"):
            self.fields[name] = forms.CharField(label="Made of", required=False)


def test_boxes_of_a_group_are_one_teacher_s_or_the_other_s_and_hidden_ones_are_not_told():
    opened = Table(initial={"row_version": "1", "parts-0-sign": "Ag", "parts-0-share": "92.5"})
    now = Table(initial={"row_version": "2", "parts-0-sign": "Ag", "parts-0-share": "93"})
    boxes = boxes_of(opened)
    # the second teacher added a row and left the first as it was
    mine = posted(seen_as(boxes), **boxes | {"parts-1-sign": ["Cu"], "parts-1-share": ["7.5"]})
    found = since(mine, now, saved_by("Marit"), group_of=lambda name: name.partition("-")[0])
    assert found.data["parts-0-share"] == "92.5" and found.data["parts-1-sign"] == "Cu"
    assert found.data["row_version"] == "2"
    assert told(found) == [("Made of", "Ag 92.5", "Ag 93", True)]
    # who left the table alone goes on from the one that is saved
    found = since(posted(seen_as(boxes), **boxes), now, saved_by("Marit"), group_of=lambda name: name.partition("-")[0])
    assert found.data["parts-0-share"] == "93" and told(found) == [("Made of", "Ag 92.5", "Ag 93", False)]
