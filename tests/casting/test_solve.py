"""`python -m casting.solve`: a day file in, plan files out, one a line, without the web site."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

from casting import solve
from casting.calc.values.errors import Refused
from tests.days.example_file import bare, changed

ROOT = Path(__file__).parents[2]


def test_every_line_is_a_plan_and_the_last_is_the_best(tmp_path, capsys):
    file = tmp_path / "day.json"
    file.write_text(changed())
    assert solve.main([str(file), "--effort", "20"]) == 0
    plans = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert plans
    assert {plan["format"] for plan in plans} == {"casting-plan/1"}
    # the example's own arithmetic: 3.2 / 0.96 x 10.36 = 34.533 g; + 15 g button = 49.53, up to 50.0 g
    assert plans[-1]["flasks"][0]["charge_g"] == 50.0
    assert plans[-1]["flasks"][0]["waxes"][0]["metal_g"] == 34.53


def test_a_day_without_waxes_has_a_plan_without_flasks(tmp_path, capsys):
    file = tmp_path / "day.json"
    file.write_text(bare())
    assert solve.main([str(file)]) == 0
    assert json.loads(capsys.readouterr().out.splitlines()[-1])["flasks"] == []


def test_it_reads_standard_input_in_a_process_without_django() -> None:
    code = "import sys, casting.solve as s; code = s.main(['-']); assert 'django' not in sys.modules; sys.exit(code)"
    done = subprocess.run(
        [sys.executable, "-c", code], input=changed().encode(), capture_output=True, cwd=ROOT, timeout=60
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(done.stdout.splitlines()[-1])["totals"]["flasks"] == 1


def test_a_refused_day_ends_the_process_with_2_and_one_line() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "casting.solve"],
        input=changed(("waxes[0].wax_g", -2)).encode(),
        capture_output=True,
        cwd=ROOT,
        timeout=60,
    )
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.startswith(b"waxes[0].wax_g: -2 stands here") and done.stderr.count(b"\n") == 1


def test_what_a_library_prints_does_not_reach_the_plan_file():
    # the solver behind the bounds writes to the file descriptor itself, now and then
    code = (
        "import os, sys, casting.solve as s; plans = s.DaySearch.improving\n"
        "s.DaySearch.improving = lambda *day: (one for one in plans(*day) if os.write(1, b'noise'))\n"
        "sys.exit(s.main(['-', '--effort', '1']))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], input=changed().encode(), capture_output=True, cwd=ROOT, timeout=60
    )
    assert done.returncode == 0
    assert json.loads(done.stdout)["format"] == "casting-plan/1"


@pytest.mark.parametrize(
    ("arguments", "place"),
    [
        (["no-such-day.json"], "file"),
        (["."], "file"),
        (["a\0b"], "file"),
        (["day.json", "--effort", "0"], "--effort"),
        (["day.json", "--effort", "-5"], "--effort"),
        (["day.json", "--effort", "2.5"], "--effort"),
        (["day.json", "--effort", "many"], "--effort"),
        (["day.json", "--effort"], "--effort"),
        (["day.json", "other.json"], "command"),
        (["--fast"], "command"),
    ],
)
def test_a_wrong_command_line_is_one_line_and_2(arguments, place, capsys):
    assert solve.main(arguments) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(f"{place}: ") and err.count("\n") == 1


@pytest.mark.parametrize(("text", "effort"), [("1", 1), ("100", 100)])
def test_effort_is_a_whole_number_of_1_or_more(text: str, effort: int) -> None:
    assert solve.read_effort(text) == effort
    with pytest.raises(Refused):
        solve.read_effort(f"{text}.0")


def test_standard_input_is_a_dash(monkeypatch):
    class Input:
        buffer = io.BytesIO(b"a day")

    monkeypatch.setattr(sys, "stdin", Input())
    assert solve.read_bytes("-") == b"a day"
