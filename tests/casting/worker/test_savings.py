"""What would save a flask, told line by line as it becomes known."""

import io
import json

from casting.worker import savings
from tests.days.day_file import a_day_file, planned, wax_row


def told(monkeypatch, capsys, day):
    """What the program writes of a day and its plan, line by line."""
    asked = json.dumps({"day": json.dumps(day), "plan": json.dumps(planned(day))})
    monkeypatch.setattr("sys.stdin", io.StringIO(asked))
    assert savings.main() == 0
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_a_wax_alone_in_its_metal_saves_a_flask_in_the_other(monkeypatch, capsys):
    """Three small studs, one in bronze: two flasks; all in sterling they take one."""
    stud = {"wax_g": 0.7, "width_mm": 8.0, "depth_mm": 6.0, "height_mm": 20.0}
    lines = told(
        monkeypatch,
        capsys,
        a_day_file([wax_row("A1", **stud), wax_row("C3", **stud), wax_row("B2", alloy="si-bronze", **stud)]),
    )
    assert [line["done"] for line in lines] == [False] * (len(lines) - 1) + [True]
    assert [line["passed"] for line in lines] == sorted(line["passed"] for line in lines)
    found = {(save["kind"], save["what"], save["to"], save["flasks"]) for save in lines[-1]["saves"]}
    assert ("metal", "B2", "sterling", 1) in found


def test_a_day_of_one_flask_has_none_to_save(monkeypatch, capsys):
    (*_before, last) = told(monkeypatch, capsys, a_day_file([wax_row("A1")]))
    assert (last["done"], last["saves"]) == (True, [])


def test_the_last_pour_is_the_latest_of_all_flasks():
    """In the offset of one day their order as text is that of the clock."""
    at = [{"out_at": f"2027-06-13T{hour}:00-06:00"} for hour in ("10", "12", "11")]
    assert savings.last_pour_at({"flasks": at}) == "2027-06-13T12:00-06:00"
    assert savings.last_pour_at({"flasks": []}) == ""
